import './no-eval.ts';
import 'uplot/dist/uPlot.min.css';
import './style/fonts.css';
import './style/paper.css';
import './style/compare.css';
import { render } from 'preact';
import { readMaterial } from '../src/burn/material.ts';
import { readMachine } from '../src/machine/profile.ts';
import { App } from './App.tsx';
import { type BroughtJob, broughtJobs, openDemo } from './state/open.ts';
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

const [first] = broughtJobs();
if (first) load(setupOf(first), first.title, first.about ?? '', first.notes);
else if (!__ONE_PAGE__) void openDemo('marker');
render(<App />, document.getElementById('app')!);
