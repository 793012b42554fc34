import { useState } from 'preact/hooks';
import { doubtSentence } from '../../src/explain/doubts.ts';
import { Cautions } from '../bench/Bench.tsx';
import { OnTheBench, TakeOff } from '../bench/Shelf.tsx';
import { Steps } from '../bench/Steps.tsx';
import { downloadJson } from '../state/download.ts';
import { ownProfile, renameMachine } from '../state/listed.ts';
import { keepMachineOnShelf, keptMachines, machines } from '../state/shelf.ts';
import { setMachine, setup } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';
import { NameInput } from '../words/NameInput.tsx';
import { Listing } from './Listing.tsx';
import { LiveBurn } from './LiveBurn.tsx';
import { MachineSentences } from './MachineSentences.tsx';
import { Stopwatch } from './Stopwatch.tsx';

/** The machine as far as it is told: from its controller, by hand, or by a stopwatch. */
export function MyMachine() {
  const at = setup.value;
  if (!at) return null;
  const { machine } = at;
  const doubt = doubtSentence(machine);
  return (
    <article class="page" aria-label="My machine">
      <h1>My machine</h1>
      <p class="under-title">
        <span>A forecast is as true as what stands here.</span>
        <Steps />
      </p>
      <p>
        <OnTheBench label="Machine" name={machine.name} shelf={machines.value} onTake={setMachine} />
      </p>
      <Listing />
      <MachineSentences machine={machine} />
      {doubt ? (
        <p class="over" role="alert">
          <Kept>{doubt}</Kept>
        </p>
      ) : null}
      <h2>What it does to the wood</h2>
      <LiveBurn machine={machine} material={at.material} />
      <Keep key={machine.name} />
      <Stopwatch machine={machine} />
      <Cautions />
    </article>
  );
}

/** On the shelf of this browser, under a name, and as a file. */
function Keep() {
  const { machine } = setup.value!;
  const [saved, setSaved] = useState('');
  const isKept = keptMachines.value.includes(machine.name);
  return (
    <section aria-labelledby="keep-machine">
      <h2 id="keep-machine">Keep it</h2>
      <NameInput
        id="machine-name"
        label="It is called"
        value={machine.name}
        onChange={(event) => renameMachine(event.currentTarget.value.trim())}
      />
      <p class="acts">
        <button
          type="button"
          class="press"
          onClick={() => {
            if (keepMachineOnShelf(machine, { ...ownProfile(machine), name: machine.name }))
              setSaved(`${machine.name} is on the shelf of this browser.`);
          }}
        >
          Put it on the shelf
        </button>
        <button
          type="button"
          class="press"
          onClick={() => {
            const file = { ...ownProfile(machine), name: machine.name };
            // A file needs the watts, told or not.
            const laser = { optical_power_w: machine.laser.optical_power_w, ...file.laser };
            downloadJson(fileName(machine.name), { ...file, laser });
          }}
        >
          Save it as a file
        </button>
        {isKept ? <TakeOff name={machine.name} onTaken={setSaved} /> : null}
      </p>
      <p class="quiet" role="status">
        {saved}
      </p>
    </section>
  );
}

/** `my machine.json`, from letters and digits of a name. */
const fileName = (name: string): string =>
  `${
    name
      .trim()
      .replace(/[^\p{L}\p{N} _-]+/gu, '')
      .replaceAll(' ', '-') || 'machine'
  }.json`;
