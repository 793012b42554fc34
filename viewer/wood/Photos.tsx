import { signal } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import { codeWords, photoWords } from '../../src/swatch/fit/words.ts';
import type { PhotoReading } from '../../src/swatch/photo/read.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { type DecodedPhoto, pixelsOf } from '../state/photo-pixels.ts';
import {
  addPhotos,
  arePhotosLost,
  changePhoto,
  dropPhoto,
  photos,
  type SwatchPhoto,
} from '../state/swatch.ts';
import { Kept } from '../words/Kept.tsx';
import { runErrand } from '../worker/errand.ts';

/** What each photo said, by its number; null: it could not be read as it is. */
export const readingsNow = signal<ReadonlyMap<number, PhotoReading | null>>(new Map());

/** Photos of the burned swatch, each with its corners and its paper. */
export function Photos({ swatch }: { readonly swatch: Swatch }) {
  return (
    <section aria-labelledby="photos-heading">
      <h2 id="photos-heading">Drop the photo</h2>
      <p>
        Anywhere on the page, or{' '}
        <label class="link pick">
          choose it
          <input
            type="file"
            accept="image/jpeg,image/png"
            multiple
            onChange={(event) => {
              addPhotos([...(event.currentTarget.files ?? [])]);
              event.currentTarget.value = '';
            }}
          />
        </label>
        . It stays on this computer. Several photos of the swatch{' '}
        {swatch.code ? <b>{swatch.code.text}</b> : null} are one fit.
      </p>
      {arePhotosLost.value ? (
        <p class="quiet" role="status">
          This browser does not keep photos from visit to visit: after the next one they are dropped in again.
        </p>
      ) : null}
      {photos.value.map((photo) => (
        <OnePhoto key={photo.id} photo={photo} swatch={swatch} />
      ))}
    </section>
  );
}

function OnePhoto({ photo, swatch }: { readonly photo: SwatchPhoto; readonly swatch: Swatch }) {
  const [decoded, setDecoded] = useState<DecodedPhoto | null>(null);
  const [said, setSaid] = useState<{ readonly words: string; readonly isRefusal: boolean } | null>(null);
  const [found, setFound] = useState<readonly PhotoPoint[] | null>(null);
  const [picking, setPicking] = useState(false);
  const { id, file, corners, white } = photo;
  const put = (reading: PhotoReading | null) => {
    readingsNow.value = new Map(readingsNow.peek()).set(id, reading);
  };
  useEffect(() => {
    let isHere = true;
    const refuse = (error: unknown) => {
      if (!isHere) return;
      if (!(error instanceof InputError)) throw error;
      setSaid({ words: error.toString(), isRefusal: true });
      put(null);
    };
    const read = async (): Promise<void> => {
      const pixels = decoded ?? (await pixelsOf(file));
      if (!isHere) return;
      setDecoded(pixels);
      setSaid({ words: 'Reading the photo …', isRefusal: false });
      const { width, height, data } = pixels;
      const reading = await runErrand({
        errand: 'photo',
        photo: { width, height, data },
        swatch,
        corners,
        white,
      });
      if (!isHere) return;
      setFound(reading.cornersPx);
      const words = [photoWords(reading), ...(reading.code ? [codeWords(reading.code)] : [])];
      const doubts = reading.doubts.length > 0;
      if (doubts) words.push(`Photo and key do not seem to belong together: ${reading.doubts.join('; ')}.`);
      setSaid({ words: words.join(' '), isRefusal: doubts });
      put(reading);
    };
    void read().catch(refuse);
    return () => {
      isHere = false;
    };
  }, [file, swatch, JSON.stringify(corners), JSON.stringify(white)]);
  useEffect(
    () => () => {
      const left = new Map(readingsNow.peek());
      left.delete(id);
      readingsNow.value = left;
    },
    [],
  );
  const shown = corners ?? found ?? (decoded ? fourCorners(decoded) : null);
  return (
    <div class="photo">
      {decoded ? (
        <OnThePhoto
          decoded={decoded}
          corners={shown}
          white={white}
          picking={picking}
          onCorners={(next) => changePhoto(id, { corners: next })}
          onWhite={(place) => {
            changePhoto(id, { white: place });
            setPicking(false);
          }}
        />
      ) : null}
      <p class={said?.isRefusal ? 'over' : 'quiet'} role={said?.isRefusal ? 'alert' : 'status'}>
        <Kept>{said?.words ?? 'Decoding the photo …'}</Kept>
      </p>
      <p class="acts">
        <button type="button" class="link" aria-pressed={picking} onClick={() => setPicking(!picking)}>
          {picking ? 'now press on the paper' : white ? 'show the white paper again' : 'show the white paper'}
        </button>
        {corners ? (
          <button type="button" class="link" onClick={() => changePhoto(id, { corners: null })}>
            find the corners anew
          </button>
        ) : null}
        <button type="button" class="link" onClick={() => dropPhoto(id)}>
          take {file.name} away
        </button>
      </p>
    </div>
  );
}

/** Where the marks may be, to begin with, when they were not found. */
const fourCorners = ({ width, height }: DecodedPhoto): PhotoPoint[] =>
  [
    [0.12, 0.88],
    [0.88, 0.88],
    [0.88, 0.12],
    [0.12, 0.12],
  ].map(([u, v]) => [u! * width, v! * height]);

const CORNER_NAMES = ['the mark with the hole', 'the second mark', 'the third mark', 'the fourth mark'];
/** The longer side of what is shown of a photo, px. */
const SHOWN_PX = 1400;

interface OnThePhotoProps {
  readonly decoded: DecodedPhoto;
  readonly corners: readonly PhotoPoint[] | null;
  readonly white: PhotoPoint | null;
  readonly picking: boolean;
  readonly onCorners: (corners: readonly PhotoPoint[]) => void;
  readonly onWhite: (place: PhotoPoint) => void;
}

/** The photo with the four marks on it, which can be dragged, or moved by arrow keys. */
function OnThePhoto({ decoded, corners, white, picking, onCorners, onWhite }: OnThePhotoProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const holder = useRef<HTMLDivElement>(null);
  const [dragged, setDragged] = useState<readonly PhotoPoint[] | null>(null);
  const { width, height, bitmap } = decoded;
  const share = Math.min(1, SHOWN_PX / Math.max(width, height));
  useEffect(() => {
    canvas.current!.getContext('2d')!.drawImage(bitmap, 0, 0, canvas.current!.width, canvas.current!.height);
  }, [bitmap]);
  const at = (event: PointerEvent): PhotoPoint => {
    const box = holder.current!.getBoundingClientRect();
    const clamp = (value: number, most: number) => Math.min(most, Math.max(0, value));
    return [
      clamp(((event.clientX - box.left) / box.width) * width, width),
      clamp(((event.clientY - box.top) / box.height) * height, height),
    ];
  };
  const shown = dragged ?? corners;
  const moved = (k: number, to: PhotoPoint) => shown!.map((corner, j) => (j === k ? to : corner));
  const place = ([x, y]: PhotoPoint) => ({
    left: `${((x / width) * 100).toFixed(3)}%`,
    top: `${((y / height) * 100).toFixed(3)}%`,
  });
  return (
    <div
      ref={holder}
      class={picking ? 'on-photo picking' : 'on-photo'}
      onPointerDown={(event) => {
        if (picking) onWhite(at(event));
      }}
    >
      <canvas
        ref={canvas}
        role="img"
        aria-label="The photo of the burned swatch"
        width={Math.round(width * share)}
        height={Math.round(height * share)}
      />
      {shown ? (
        <svg viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
          <polygon points={shown.map((point) => point.join(',')).join(' ')} />
        </svg>
      ) : null}
      {white ? <span class="paper-place" style={place(white)} aria-hidden="true" /> : null}
      {shown && !picking
        ? shown.map((corner, k) => (
            <button
              type="button"
              key={CORNER_NAMES[k]}
              class={k === 0 ? 'corner first' : 'corner'}
              style={place(corner)}
              aria-label={`${CORNER_NAMES[k]}: arrow keys move it`}
              onPointerDown={(event) => {
                event.currentTarget.setPointerCapture(event.pointerId);
                setDragged(shown);
              }}
              onPointerMove={(event) => {
                if (event.currentTarget.hasPointerCapture(event.pointerId)) setDragged(moved(k, at(event)));
              }}
              onPointerUp={() => {
                if (dragged && JSON.stringify(dragged) !== JSON.stringify(corners)) onCorners(dragged);
                setDragged(null);
              }}
              onPointerCancel={() => setDragged(null)}
              onKeyDown={(event) => {
                const step = (event.shiftKey ? 0.01 : 0.001) * Math.max(width, height);
                const ways: Record<string, PhotoPoint> = {
                  ArrowLeft: [-step, 0],
                  ArrowRight: [step, 0],
                  ArrowUp: [0, -step],
                  ArrowDown: [0, step],
                };
                const way = ways[event.key];
                if (!way) return;
                onCorners(moved(k, [corner[0] + way[0], corner[1] + way[1]]));
                event.preventDefault();
                event.stopPropagation();
              }}
            />
          ))
        : null}
    </div>
  );
}
