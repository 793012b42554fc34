import { useEffect, useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import type { CornersOf } from '../../src/piece/register.ts';
import { Choice } from '../bench/Choice.tsx';
import { CORNERS, fourCorners, OnThePhoto } from '../bench/OnThePhoto.tsx';
import { type DecodedPhoto, pixelsOf } from '../state/photo-pixels.ts';
import {
  dropPiecePhoto,
  layPiecePhoto,
  type PiecePhoto,
  piecePhoto,
  pieceRead,
  takePiecePhoto,
} from '../state/piece.ts';
import { settled, wished } from '../state/store.ts';
import { inThePage } from '../words/in-the-page.ts';
import { Kept } from '../words/Kept.tsx';
import { PHOTO_FILES, PickFiles } from '../words/PickFiles.tsx';
import { Said, type Saying } from '../words/Said.tsx';
import { type PieceShown, runErrand } from '../worker/errand.ts';
import { PhotoBeside } from './PhotoBeside.tsx';

/** A photo of the burned piece: laid on the forecast by its marks, or by hand, and shown beside it. */
export function PhotoOfPiece() {
  const photo = piecePhoto.value;
  const picked = ([file]: File[]) => file && takePiecePhoto(file);
  const [unreadable, setUnreadable] = useState<File | null>(null);
  return (
    <div class="piece-photo">
      <p>
        {photo ? (
          <>
            {photo.file === unreadable ? 'This photo could not be read:' : 'Not the right photo?'}{' '}
            <PickFiles accept={PHOTO_FILES} onPicked={picked}>
              choose another
            </PickFiles>{' '}
            or{' '}
            <span class="listed">
              <button type="button" class="link" onClick={dropPiecePhoto}>
                take {photo.file.name} away
              </button>
              .
            </span>
          </>
        ) : (
          <>
            A photo of the piece, lying in its board, tells tones better than words do: drop it here, or{' '}
            <span class="listed">
              <PickFiles accept={PHOTO_FILES} onPicked={picked}>
                choose it
              </PickFiles>
              .
            </span>{' '}
            It stays on this computer.
          </>
        )}
      </p>
      {photo ? <OnePiece photo={photo} onUnreadable={setUnreadable} /> : null}
    </div>
  );
}

interface OnePieceProps {
  readonly photo: PiecePhoto;
  readonly onUnreadable: (file: File) => void;
}

function OnePiece({ photo, onUnreadable }: OnePieceProps) {
  const { file, corners, isLearned } = photo;
  const [decoded, setDecoded] = useState<{ readonly of: File; readonly pixels: DecodedPhoto } | null>(null);
  const [said, setSaid] = useState<Saying | null>(null);
  const [byHand, setByHand] = useState(false);
  const read = pieceRead.value;
  const pixels = decoded?.of === file ? decoded.pixels : null;
  const of = settled.value ? wished.value : null;
  const refuse = (error: unknown) => {
    if (!(error instanceof InputError)) throw error;
    setSaid({ words: inThePage(error.toString()), isRefusal: true });
    setByHand(true);
    pieceRead.value = null;
  };
  useEffect(
    () =>
      whileHere((isHere) => {
        pixelsOf(file).then(
          (found) => isHere() && setDecoded({ of: file, pixels: found }),
          (error) => {
            if (!isHere()) return;
            onUnreadable(file);
            refuse(error);
          },
        );
      }),
    [file],
  );
  useEffect(
    () =>
      whileHere((isHere) => {
        if (!of || !pixels || pieceRead.peek()?.of === of) return;
        setSaid({ words: 'Laying the photo on the forecast …', isRefusal: false });
        const { width, height, data } = pixels;
        runErrand({ errand: 'piece', setup: of, photo: { width, height, data }, corners }).then(
          (shown) => {
            if (!isHere()) return;
            setSaid(null);
            setByHand(false);
            pieceRead.value = { of, shown };
          },
          (error) => isHere() && refuse(error),
        );
      }),
    [pixels, of, corners],
  );
  return (
    <>
      {said ? <Said {...said} /> : null}
      {read ? (
        <>
          <PhotoBeside shown={read.shown} />
          {[...read.shown.notes, ...(isLearned ? ['What it shows was learned.'] : [])].map((note) => (
            <p key={note} class="quiet">
              <Kept>{inThePage(note)}</Kept>
            </p>
          ))}
        </>
      ) : null}
      {pixels && byHand ? (
        <ByCorners decoded={pixels} found={read?.shown.corners ?? null} given={corners} />
      ) : pixels && read ? (
        <p>
          <button type="button" class="link" onClick={() => setByHand(true)}>
            lay it by its corners
          </button>
        </p>
      ) : null}
    </>
  );
}

/** Work whose end counts only while it is still wanted; as an effect has it. */
function whileHere(work: (isHere: () => boolean) => void): () => void {
  let here = true;
  work(() => here);
  return () => {
    here = false;
  };
}

const WHOSE: readonly (readonly [CornersOf, string])[] = [
  ['board', 'the board'],
  ['burn', 'all that is burned'],
];

interface ByCornersProps {
  readonly decoded: DecodedPhoto;
  readonly found: PieceShown['corners'] | null;
  readonly given: PiecePhoto['corners'];
}

/** Four corners that are dragged into place where marks do not tell how the photo lies. */
function ByCorners({ decoded, found, given }: ByCornersProps) {
  const [whose, setWhose] = useState<CornersOf>(given?.of ?? 'board');
  const [dragged, setDragged] = useState<readonly PhotoPoint[] | null>(given?.at ?? null);
  const at = dragged ?? found?.[whose] ?? fourCorners(decoded);
  return (
    <>
      <OnThePhoto
        label="The photo of the piece"
        names={CORNERS.map(
          (which) => `the ${which} corner of ${whose === 'board' ? 'the board' : 'what is burned'}`,
        )}
        decoded={decoded}
        corners={at}
        onCorners={setDragged}
      />
      <p>
        The corners, the filled one at the job’s lower left, mark{' '}
        <Choice
          label="whose corners these are"
          value={whose}
          options={WHOSE}
          after="."
          onChange={(next) => {
            setWhose(next);
            setDragged(null);
          }}
        />{' '}
        A millimetre or two is near enough.{' '}
        <button type="button" class="link" onClick={() => layPiecePhoto({ at, of: whose })}>
          lay it by these corners
        </button>
      </p>
    </>
  );
}
