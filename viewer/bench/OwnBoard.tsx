import { useRef, useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import { isEmptyBounds, middleOf } from '../../src/grid.ts';
import { burnsNothing } from '../../src/own-board/own-board.ts';
import { sheetCorners } from '../../src/own-board/points.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import { face } from '../state/face.ts';
import { type DecodedPhoto, pixelsOf } from '../state/photo-pixels.ts';
import { scene, setStock, setup } from '../state/store.ts';
import { PHOTO_FILES, PickFiles } from '../words/PickFiles.tsx';
import { Said, type Saying } from '../words/Said.tsx';
import { runErrand } from '../worker/errand.ts';
import { Choice } from './Choice.tsx';
import { NumberField } from './NumberField.tsx';
import { fourCorners, OnThePhoto } from './OnThePhoto.tsx';

const SHEETS = [
  ['a4', 'A4'],
  ['letter', 'letter paper'],
  ['a5', 'A5'],
  ['a3', 'A3'],
] as const;
type Sheet = (typeof SHEETS)[number][0];

const CORNERS = ['lower left', 'lower right', 'upper right', 'upper left'].map(
  (which) => `the sheet’s ${which} corner`,
);

/** A person's own board: a photo, a sheet of paper on it whose corners are dragged into place, and the outline found. */
export function OwnBoard() {
  const [photo, setPhoto] = useState<DecodedPhoto | null>(null);
  const [corners, setCorners] = useState<readonly PhotoPoint[] | null>(null);
  const [outline, setOutline] = useState<readonly PhotoPoint[] | null>(null);
  const [sheet, setSheet] = useState<Sheet>('a4');
  const [lies, setLies] = useState<'upright' | 'lying'>('upright');
  const [at, setAt] = useState<readonly [number, number]>([0, 0]);
  const [said, setSaid] = useState<Saying | null>(null);

  /** Only the last that was asked for counts: an answer may come when the photo is another one, or closed. */
  const asked = useRef(0);
  const refuse = (error: unknown) => {
    if (!(error instanceof InputError)) throw error;
    setSaid({ words: error.toString(), isRefusal: true });
  };
  const choose = async (file: File | undefined): Promise<void> => {
    if (!file) return;
    const mine = ++asked.current;
    setSaid({ words: 'Decoding the photo …', isRefusal: false });
    const pixels = await pixelsOf(file);
    if (mine !== asked.current) return;
    setPhoto(pixels);
    setCorners(fourCorners(pixels));
    setOutline(null);
    setSaid(null);
  };
  const close = () => {
    asked.current++;
    setPhoto(null);
    setSaid(null);
  };
  /** Looks for the outline, or takes it as it was dragged. */
  const find = async (outlinePx: readonly PhotoPoint[] | null): Promise<void> => {
    const stock = setup.peek()?.stock ?? null;
    const burn = scene.peek()?.forecast.burnBounds;
    if (!photo || !corners || !burn) return;
    if (isEmptyBounds(burn)) throw burnsNothing();
    if (!outlinePx) setSaid({ words: 'Looking for the board …', isRefusal: false });
    const mine = ++asked.current;
    const { width, height, data } = photo;
    const found = await runErrand({
      errand: 'board',
      photo: { width, height, data },
      points: { onPhoto: corners, onBedMm: sheetCorners(sheet, lies === 'lying', ...at) },
      givens: {
        onMm: middleOf(burn),
        thicknessMm: stock?.thicknessMm ?? null,
        thicknessPlusMinusMm: stock?.thicknessPlusMinusMm ?? null,
        avoid: stock?.avoid ?? [],
      },
      outlinePx,
    });
    if (mine !== asked.current) return;
    setStock(found.stock);
    face.value = found.face;
    setOutline(found.outlinePx);
    setSaid({
      words: 'The board lies under the job. Drag the corners of its outline where they are not right.',
      isRefusal: false,
    });
  };

  return (
    <div class="own-board">
      <p>
        <PickFiles accept={PHOTO_FILES} onPicked={([file]) => void choose(file).catch(refuse)}>
          {photo ? 'choose another photo of your board' : 'lay it on a photo of your own board'}
        </PickFiles>
        {photo ? (
          <>
            {' '}
            <button type="button" class="link" onClick={close}>
              close the photo
            </button>
          </>
        ) : null}
      </p>
      {photo ? (
        <>
          <OnThePhoto
            label="The photo of your board"
            names={outline ? outline.map((_, k) => `corner ${k + 1} of the board`) : CORNERS}
            decoded={photo}
            corners={outline ?? corners}
            onCorners={(next) => {
              if (outline) {
                setOutline(next);
                void find(next).catch(refuse);
              } else setCorners(next);
            }}
          />
          <p>
            The corners, the filled one lower left, mark a sheet of{' '}
            <Choice label="sheet beside the board" value={sheet} options={SHEETS} onChange={setSheet} />{' '}
            <Choice
              label="how the sheet lies"
              value={lies}
              options={[
                ['upright', 'upright'],
                ['lying', 'lying'],
              ]}
              after=","
              onChange={setLies}
            />{' '}
            whose lower left corner lies at x{' '}
            <NumberField
              label="sheet corner x"
              value={at[0]}
              min={-5000}
              max={5000}
              step={1}
              after=","
              onChange={(x) => setAt([x, at[1]])}
            />{' '}
            y{' '}
            <NumberField
              label="sheet corner y"
              unit="mm"
              value={at[1]}
              min={-5000}
              max={5000}
              step={1}
              onChange={(y) => setAt([at[0], y])}
            />{' '}
            of the machine.{' '}
            <button type="button" class="link" onClick={() => void find(null).catch(refuse)}>
              find the board
            </button>
            {outline ? (
              <>
                {' '}
                <button type="button" class="link" onClick={() => setOutline(null)}>
                  show the sheet again
                </button>
              </>
            ) : null}
          </p>
        </>
      ) : null}
      {said ? <Said {...said} /> : null}
    </div>
  );
}
