import { signal } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import { codeWords, photoWords } from '../../src/swatch/fit/words.ts';
import type { PhotoReading } from '../../src/swatch/photo/read.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { fourCorners, OnThePhoto } from '../bench/OnThePhoto.tsx';
import { type DecodedPhoto, pixelsOf } from '../state/photo-pixels.ts';
import {
  addPhotos,
  arePhotosLost,
  changePhoto,
  dropPhoto,
  photos,
  type SwatchPhoto,
} from '../state/swatch.ts';
import { PHOTO_FILES, PickFiles } from '../words/PickFiles.tsx';
import { Said, type Saying } from '../words/Said.tsx';
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
        <PickFiles accept={PHOTO_FILES} multiple onPicked={addPhotos}>
          choose it
        </PickFiles>
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
  const [said, setSaid] = useState<Saying | null>(null);
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
          label="The photo of the burned swatch"
          names={CORNER_NAMES}
          decoded={decoded}
          corners={shown}
          white={white}
          picking={picking}
          onCorners={(next) => changePhoto(id, { corners: next })}
          onPick={(place) => {
            changePhoto(id, { white: place });
            setPicking(false);
          }}
        />
      ) : null}
      <Said {...(said ?? { words: 'Decoding the photo …', isRefusal: false })} />
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

const CORNER_NAMES = ['the mark with the hole', 'the second mark', 'the third mark', 'the fourth mark'];
