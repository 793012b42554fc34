import { useState } from 'preact/hooks';
import { guessNote } from '../../src/burn/guesses.ts';
import type { Material } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { Cautions } from '../bench/Bench.tsx';
import { OnTheBench, TakeOff } from '../bench/Shelf.tsx';
import { Steps } from '../bench/Steps.tsx';
import { keptWoods, woods } from '../state/shelf.ts';
import { setup, setWood } from '../state/store.ts';
import { swatch } from '../state/swatch.ts';
import { FitResult } from './FitResult.tsx';
import { MakeSwatch } from './MakeSwatch.tsx';
import { Photos } from './Photos.tsx';

/** The wood as a conversation: burn a swatch of it, photograph it, and be told what it says. */
export function MyWood() {
  const at = setup.value;
  const [note, setNote] = useState('');
  if (!at) return null;
  const { material } = at;
  const guess = guessNote(material);
  const isKept = keptWoods.value.includes(material.name);
  return (
    <article class="page" aria-label="My wood">
      <h1>My wood</h1>
      <p class="under-title">
        <span>A small burned board tells how yours answers.</span>
        <Steps />
      </p>
      <p>
        <OnTheBench label="Wood" name={material.name} shelf={woods.value} onTake={setWood} />{' '}
        {guess ? (
          <>
            <span class="swatch guess" /> <span class="quiet">{guess}</span>
          </>
        ) : (
          <span class="quiet">It was measured by {measuredBy(material)}.</span>
        )}
        {isKept && !(material.name in shippedMaterials) ? (
          <>
            {' '}
            <TakeOff name={material.name} onTaken={setNote} />
          </>
        ) : null}
      </p>
      <p class="quiet" role="status">
        {note}
      </p>
      <ol class="steps-of-wood">
        <li>
          <MakeSwatch />
        </li>
        <li>
          <h2>Burn it and photograph it</h2>
          <p>
            On a piece of the wood you mean to use, with the same focus and air. Then look at the back which
            cut lines went through, and take a photo from above in even daylight: whole, sharp, filling the
            picture, with a strip of plain white paper beside the board.
          </p>
        </li>
        <li>{swatch.value ? <Photos swatch={swatch.value} /> : <NoKey />}</li>
        {swatch.value ? (
          <li>
            <FitResult swatch={swatch.value} />
          </li>
        ) : null}
      </ol>
      <Cautions />
    </article>
  );
}

const measuredBy = ({ history: { length } }: Material): string =>
  length === 0 ? 'a burned swatch' : `${length === 1 ? 'a burn' : `${length} burns`} that you told of`;

const NoKey = () => (
  <>
    <h2>Drop the photo</h2>
    <p class="quiet">
      Once the swatch is saved above, or its key (the .json that was saved with it) is dropped on the page.
    </p>
  </>
);
