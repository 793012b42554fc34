import { lstatSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Command } from 'commander';
import { shippedMaterials } from '../../burn/shipped.ts';
import { demoJobs, demoMachines } from '../../demo/index.ts';
import { listingOf } from '../../demo/listing.ts';
import { InputError } from '../../errors.ts';
import { readMachine } from '../../machine/profile.ts';
import type { CommandContext } from '../context.ts';
import { EXIT } from '../context.ts';
import { profileText } from '../profile-text.ts';
import { wrap } from '../summary.ts';
import { showViewer } from '../viewer/show.ts';
import { writeFiles } from '../write-files.ts';
import { forecastFile, tell } from './forecast.ts';
import { broughtDemo } from './view.ts';

export function addDemo(root: Command, { terminal, status }: CommandContext): void {
  root
    .command('demo')
    .argument('[piece]', `one of ${demoJobs.map((job) => job.name).join(', ')}`, demoJobs[0]!.name)
    .description('forecast a piece of the herb-garden set that comes with Charcast')
    .option('--write <dir>', 'write all its jobs and machines into a folder instead, to try every command on')
    .option('--out <dir>', 'folder for the pictures and the report', 'charcast-out')
    .option('--view', 'then open it in the browser, until Ctrl-C (at a terminal; a script goes on at once)')
    .action(async (piece: string, words: { out: string; view?: boolean; write?: string }) => {
      if (words.write !== undefined) {
        terminal.out(writtenLines(await writeDemo(words.write), words.write).join('\n'));
        return;
      }
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
        feedMmPerS: null,
        inputs: [],
        notes: [],
      };
      const made = forecastFile(await job.readText(), `${job.name}.nc`, setup);
      const told = { made, name: job.title, startedMs, assumed: [] };
      await tell(told, { folder: join(words.out, job.name), inputs: [], html: false }, false, terminal);
      status.code = EXIT.calm; // the demo is there to show its faults
      if (!words.view) return;
      if (process.stdout.isTTY) await showViewer([await broughtDemo(job)], { port: 0, open: true }, terminal);
      else terminal.out('\nTo watch it burn in the browser: npx charcast view');
    });
}

/** Writes the demo's files, over none that a person has changed; returns the paths. */
async function writeDemo(folder: string): Promise<string[]> {
  const files: Record<string, string> = {};
  for (const job of demoJobs) files[`${job.name}.nc`] = await job.readText();
  for (const [name, profile] of Object.entries(demoMachines)) files[`${name}.json`] = profileText(profile);
  files['settings.txt'] = listingOf(readMachine(demoMachines['bench-gantry']));
  const changed = Object.keys(files).filter((name) => isOther(join(folder, name), files[name]!));
  const precious = Object.fromEntries(changed.map((name) => [name, CHANGED]));
  return writeFiles(folder, files, { inputs: [], precious });
}

const CHANGED =
  'found a file of that name that is not as the demo writes it; expected a folder without one, or another folder';

/** Whether something else stands there; what is no plain file is refused by whoever writes. */
function isOther(path: string, text: string): boolean {
  const there = lstatSync(path, { throwIfNoEntry: false });
  if (!there?.isFile()) return false;
  const bytes = Buffer.from(text);
  return there.size !== bytes.length || !readFileSync(path).equals(bytes);
}

const writtenLines = (paths: readonly string[], folder: string): string[] => [
  ...demoJobs.flatMap(({ name, about, machine, stock }) => {
    const { widthMm, heightMm, thicknessMm, xMm, yMm } = stock;
    const board = `${widthMm}x${heightMm}x${thicknessMm}@${xMm},${yMm}`;
    return [...wrap(`${name}.nc: ${about} For ${machine}.json, --stock ${board}.`, '', '  ')];
  }),
  ...wrap('settings.txt: what the bench gantry’s controller prints, to make a machine of.', '', '  '),
  '',
  'A marker that did not come through, finished on the same board, and a wood that knows better next time:',
  ...story(folder).map((command) => `  ${command}`),
  '',
  `Written: ${paths.join(', ')}`,
];

/** What comes after a burn, on the demo's own marker: three commands to try. */
function story(folder: string): string[] {
  const marker = demoJobs.find(({ name }) => name === 'marker')!;
  const { widthMm, heightMm, thicknessMm, xMm, yMm } = marker.stock;
  const job = `${join(folder, 'marker.nc')} --machine ${join(folder, `${marker.machine}.json`)} --stock ${widthMm}x${heightMm}x${thicknessMm}@${xMm},${yMm}`;
  return [
    `charcast finish ${job} --reached "3: 1.6mm" -o finish.nc`,
    `charcast learn ${job} --say "3: 1.6mm; 1: darker" -o garden-wood.json`,
    `charcast forecast ${job} --material garden-wood.json --out next-time`,
  ];
}
