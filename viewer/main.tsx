import './language.ts';
import './no-eval.ts';
import 'uplot/dist/uPlot.min.css';
import './style/fonts.css';
import './style/paper.css';
import './style/compare.css';
import './style/learn.css';
import './style/places.css';
import './style/loose.css';
import './style/touch.css';
import { render } from 'preact';
import { readMaterial } from '../src/burn/material.ts';
import { type Machine, readMachine } from '../src/machine/profile.ts';
import type { BroughtJob } from '../src/page/brought-job.ts';
import { App } from './App.tsx';
import './console.ts';
import { Fault } from './Fault.tsx';
import { second as besideNow, layBeside } from './state/beside.ts';
import { broughtFace, face } from './state/face.ts';
import { tellFaults } from './state/fault.ts';
import { keepFrom, placeFor, takeUp } from './state/left.ts';
import { asLeft, beginWith, broughtJobs, openDemo } from './state/open.ts';
import { ownMachine } from './state/own-machine.ts';
import { isSame } from './state/same.ts';
import { addMachine, isDemo, openShelf } from './state/shelf.ts';
import { load, type Note, place } from './state/store.ts';
import { recallSwatch } from './state/swatch.ts';
import { beginWelcome } from './welcome/Welcome.tsx';
import type { Setup } from './worker/messages.ts';

const machineOf = ({ machine: whole, machineFile }: BroughtJob): Machine => {
  const machine = readMachine(whole);
  if (machineFile) addMachine(machine, machineFile);
  return machine;
};

const setupOf = (job: BroughtJob): Setup => ({
  job: { name: job.name, text: job.text },
  machine: machineOf(job),
  material: readMaterial(job.material),
  stock: job.stock,
  changes: [],
  cellMm: job.cellMm,
});

/** What was assumed for the command line; true as long as that is still what lies on the bench. */
const noteOf =
  (job: Setup) =>
  (words: string): Note => ({
    words,
    holds: /^No machine\b/.test(words)
      ? (at) => isSame(at.machine, job.machine)
      : /^No material\b/.test(words)
        ? (at) => at.material.name === job.material.name
        : () => true,
  });

/** What was left here the last time; else the job that the page came with, or the demo. */
async function begin(): Promise<void> {
  openShelf();
  const photographed = recallSwatch();
  const [first, second] = broughtJobs();
  const drawer = await placeFor(first ? JSON.stringify(broughtJobs()) : '');
  const brought = first ? setupOf(first) : null;
  const own = brought && ownMachine(brought.machine);
  const isTakenUp = await takeUp(drawer);
  if (!isTakenUp && first && brought) {
    const { machine, notes } = asLeft(own);
    const { title: name, about } = first;
    // `npm start` brings the demo as it comes: whoever sees it is here for the first time.
    if (first.cellMm === null && isDemo(name)) beginWelcome();
    void load(brought, { name, about, machine, notes: [...notes, ...first.notes.map(noteOf(brought))] });
  } else if (!isTakenUp) {
    beginWelcome();
    await openDemo('marker', true);
  }
  if (first?.face && !face.peek()) face.value = await broughtFace(first.face);
  await photographed;
  if (second && isTakenUp && besideNow.peek()) place.value = 'compare';
  else if (second) layBeside(setupOf(second), second.title);
  keepFrom(drawer);
}

tellFaults();
render(<Fault />, document.getElementById('faults')!);
const app = document.getElementById('app')!;
app.replaceChildren();
render(<App />, app);
void beginWith(begin);
