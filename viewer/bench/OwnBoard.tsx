import { batch } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import { isEmptyBounds, middleOf } from '../../src/grid.ts';
import { burnsNothing } from '../../src/own-board/own-board.ts';
import { mapped } from '../../src/photo/homography.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import {
  boardNotKept,
  boardPhoto,
  changeBoardPhoto,
  isBoardOpen,
  takeBoardPhoto,
} from '../state/board-photo.ts';
import { face, shownFace } from '../state/face.ts';
import { type BoardPhoto, type KnownBy, type Place, placesOf } from '../state/known-points.ts';
import { type DecodedPhoto, pixelsOf } from '../state/photo-pixels.ts';
import { changeSpot, marking, markSpot, spots, takeSpotAway } from '../state/spots.ts';
import { boardPlaceOf, mapOfBoard, ringOf } from '../state/spots-on-photo.ts';
import { scene, setStock, setup } from '../state/store.ts';
import { PHOTO_FILES, PickFiles } from '../words/PickFiles.tsx';
import { Said, type Saying } from '../words/Said.tsx';
import { runErrand } from '../worker/errand.ts';
import { Choice } from './Choice.tsx';
import { CORNERS, fourCorners, OnThePhoto } from './OnThePhoto.tsx';
import { PlaceFields } from './PlaceFields.tsx';
import { MarkSpot } from './Spots.tsx';

const KNOWN: readonly (readonly [KnownBy, string])[] = [
  ['a4', 'a sheet of A4'],
  ['letter', 'a sheet of letter paper'],
  ['a5', 'a sheet of A5'],
  ['a3', 'a sheet of A3'],
  ['points', 'four places that I know'],
];

const namesOf = ({ by, outline }: BoardPhoto): string[] =>
  outline
    ? outline.map((_, k) => `corner ${k + 1} of the board`)
    : CORNERS.map((which) => (by === 'points' ? `the ${which} place` : `the sheet’s ${which} corner`));

/** A person's own board: a photo with four points of known place dragged into place on it, and the outline found. */
export function OwnBoard() {
  const photo = isBoardOpen.value ? boardPhoto.value : null;
  const [decoded, setDecoded] = useState<{ readonly of: File; readonly pixels: DecodedPhoto } | null>(null);
  const [said, setSaid] = useState<Saying | null>(null);
  const file = photo?.file ?? null;
  const pixels = decoded !== null && decoded.of === file ? decoded.pixels : null;

  /** Only the last that was asked for counts: an answer may come when the photo is another one, or closed. */
  const asked = useRef(0);
  const refuse = (error: unknown) => {
    if (!(error instanceof InputError)) throw error;
    setSaid({ words: error.toString(), isRefusal: true });
  };
  useEffect(() => {
    const mine = ++asked.current;
    setSaid(file && { words: 'Decoding the photo …', isRefusal: false });
    if (!file) return;
    pixelsOf(file).then(
      (found) => {
        if (mine !== asked.current) return;
        setDecoded({ of: file, pixels: found });
        setSaid(null);
      },
      (error) => {
        if (mine !== asked.current) return;
        boardPhoto.value = null;
        asked.current = mine + 1;
        refuse(error);
      },
    );
  }, [file]);
  /** Looks for the outline, or takes it as it was dragged. */
  const find = async (of: DecodedPhoto, outlinePx: readonly PhotoPoint[] | null): Promise<void> => {
    const now = boardPhoto.peek();
    const stock = setup.peek()?.stock ?? null;
    const burn = scene.peek()?.forecast.burnBounds;
    if (!now || !burn) return;
    if (isEmptyBounds(burn)) throw burnsNothing();
    if (!outlinePx) setSaid({ words: 'Looking for the board …', isRefusal: false });
    const mine = ++asked.current;
    const { width, height, data } = of;
    const found = await runErrand({
      errand: 'board',
      photo: { width, height, data },
      points: { onPhoto: now.corners ?? fourCorners(of), onBedMm: placesOf(now) },
      givens: {
        onMm: middleOf(burn),
        thicknessMm: stock?.thicknessMm ?? null,
        thicknessPlusMinusMm: stock?.thicknessPlusMinusMm ?? null,
        avoid: stock?.avoid ?? [],
      },
      outlinePx,
    });
    if (mine !== asked.current) return;
    batch(() => {
      setStock(found.stock);
      face.value = found.face;
      changeBoardPhoto({ outline: found.outlinePx });
    });
    setSaid({
      words: 'The board lies under the job. Drag the corners of its outline where they are not right.',
      isRefusal: false,
    });
  };

  // What is marked lies on the photo too, as long as the board is the one that was found there.
  const outlinePx = photo?.outline;
  const outline = shownFace.value?.outline;
  const map = outlinePx && outline ? mapOfBoard(outline, outlinePx) : null;

  return (
    <div class="own-board">
      <p class="ways">
        <PickFiles accept={PHOTO_FILES} onPicked={([picked]) => picked && takeBoardPhoto(picked, workArea())}>
          {photo ? 'choose another photo of your board' : 'lay it on a photo of your own board'}
        </PickFiles>
        {photo ? (
          <button
            type="button"
            class="link"
            onClick={() => {
              boardPhoto.value = null;
            }}
          >
            close the photo
          </button>
        ) : boardPhoto.value ? (
          <button
            type="button"
            class="link"
            onClick={() => {
              isBoardOpen.value = true;
            }}
          >
            show its photo
          </button>
        ) : null}
        {setup.value?.stock ? <MarkSpot /> : null}
      </p>
      {photo && pixels ? (
        <>
          <OnThePhoto
            label="The photo of your board"
            names={namesOf(photo)}
            decoded={pixels}
            corners={photo.outline ?? photo.corners ?? fourCorners(pixels)}
            picking={map !== null && marking.value}
            onPick={(at) => map && markSpot(boardPlaceOf(map, at))}
            marks={
              map
                ? spots.value.map((spot, k) => ({
                    name: `marked place ${k + 1} on the photo`,
                    at: mapped(map, [spot.xMm, spot.yMm]),
                    ring: ringOf(map, spot),
                  }))
                : []
            }
            onMark={(k, to) => {
              const [xMm, yMm] = boardPlaceOf(map!, to);
              changeSpot(k, { xMm, yMm });
            }}
            onMarkAway={takeSpotAway}
            onCorners={(next) => {
              if (photo.outline) {
                changeBoardPhoto({ outline: next });
                void find(pixels, next).catch(refuse);
              } else changeBoardPhoto({ corners: next });
            }}
          />
          <Known photo={photo} />
          <p class="ways">
            <button type="button" class="link" onClick={() => void find(pixels, null).catch(refuse)}>
              find the board
            </button>
            {photo.outline ? (
              <button type="button" class="link" onClick={() => changeBoardPhoto({ outline: null })}>
                show the {photo.by === 'points' ? 'places' : 'sheet'} again
              </button>
            ) : null}
          </p>
        </>
      ) : null}
      {said ? <Said {...said} /> : null}
      {boardNotKept.value ? <Said words={boardNotKept.value} isRefusal={false} /> : null}
    </div>
  );
}

function workArea(): Place {
  const [widthMm, heightMm] = setup.peek()!.machine.work_area_mm;
  return [widthMm, heightMm];
}

/** What the four points are and where they lie, as a sentence. */
function Known({ photo }: { readonly photo: BoardPhoto }) {
  const { by, isLying, sheetAtMm, pointsMm } = photo;
  return (
    <>
      <p>
        The corners, the filled one lower left, mark{' '}
        <Choice
          label="what lies at known places"
          value={by}
          options={KNOWN}
          after={by === 'points' ? ':' : ''}
          onChange={(next) => changeBoardPhoto({ by: next, outline: null })}
        />{' '}
        {by === 'points' ? null : (
          <>
            <Choice
              label="how the sheet lies"
              value={isLying ? 'lying' : 'upright'}
              options={[
                ['upright', 'upright'],
                ['lying', 'lying'],
              ]}
              after=","
              onChange={(lies) => changeBoardPhoto({ isLying: lies === 'lying' })}
            />{' '}
            whose lower left corner lies at{' '}
            <PlaceFields
              named="sheet corner"
              at={sheetAtMm}
              onChange={(to) => changeBoardPhoto({ sheetAtMm: to })}
            />{' '}
            of the machine.
          </>
        )}
      </p>
      {by === 'points'
        ? CORNERS.map((which, k) => (
            <p key={which}>
              The {which} one lies at{' '}
              <PlaceFields
                named={`${which} place`}
                at={pointsMm[k]!}
                onChange={(to) =>
                  changeBoardPhoto({ pointsMm: pointsMm.map((place, j) => (j === k ? to : place)) })
                }
              />{' '}
              of the machine.
            </p>
          ))
        : null}
    </>
  );
}
