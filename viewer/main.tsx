import './language.ts';
import './no-eval.ts';
import 'uplot/dist/uPlot.min.css';
import './style/fonts.css';
import './style/paper.css';
import './style/compare.css';
import './style/learn.css';
import './style/touch.css';
import { render } from 'preact';
import { readMaterial } from '../src/burn/material.ts';
import type { BroughtJob } from '../src/cli/viewer/page.ts';
import { readMachine } from '../src/machine/profile.ts';
import { App } from './App.tsx';
import './console.ts';
import { layBeside } from './state/beside.ts';
import { broughtJobs, openDemo } from './state/open.ts';
import { load } from './state/store.ts';
import type { Setup } from './worker/messages.ts';

const setupOf = (job: BroughtJob): Setup => ({
  job: { name: job.name, text: job.text },
  machine: readMachine(job.machine),
  material: readMaterial(job.material),
  stock: job.stock,
  changes: [],
  cellMm: job.cellMm,
});

const [first, second] = broughtJobs();
if (first) {
  void load(setupOf(first), { name: first.title, about: first.about, notes: first.notes });
  if (second) layBeside(setupOf(second), second.title);
} else if (!__ONE_PAGE__) void openDemo('marker');
render(<App />, document.getElementById('app')!);
