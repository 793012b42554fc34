import { join } from 'node:path';
import type { Command } from 'commander';
import { shippedMaterials } from '../../burn/shipped.ts';
import { demoJobs, demoMachines } from '../../demo/index.ts';
import { InputError } from '../../errors.ts';
import { readMachine } from '../../machine/profile.ts';
import { EXIT } from '../run.ts';
import { showViewer } from '../viewer/show.ts';
import { forecastFile, tell } from './forecast.ts';
import type { CommandContext } from './index.ts';
import { broughtDemo } from './view.ts';

export function addDemo(root: Command, { terminal, status }: CommandContext): void {
  root
    .command('demo')
    .argument('[piece]', `one of ${demoJobs.map((job) => job.name).join(', ')}`, demoJobs[0]!.name)
    .description('forecast a piece of the herb-garden set that comes with Charcast')
    .option('--out <dir>', 'folder for the pictures and the report', 'charcast-out')
    .option('--view', 'then open it in the browser, until Ctrl-C (at a terminal; a script goes on at once)')
    .action(async (piece: string, words: { out: string; view?: boolean }) => {
      const startedMs = performance.now();
      const job = demoJobs.find((candidate) => candidate.name === piece);
      if (!job)
        throw new InputError(
          `found no demo piece ${piece}; expected one of ${demoJobs.map((each) => each.name).join(', ')}`,
        );
      const setup = {
        machine: readMachine(demoMachines[job.machine], job.machine),
        material: shippedMaterials[job.material]!,
        stock: job.stock,
        cellMm: null,
        inputs: [],
        notes: [],
      };
      const made = forecastFile(await job.readText(), `${job.name}.nc`, setup);
      await tell(made, job.title, startedMs, join(words.out, job.name), [], false, terminal);
      status.code = EXIT.calm; // the demo is there to show its faults
      if (!words.view) return;
      if (process.stdout.isTTY) await showViewer([await broughtDemo(job)], { port: 0, open: true }, terminal);
      else terminal.out('\nTo watch it burn in the browser: npx charcast view');
    });
}
