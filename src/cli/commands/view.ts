import { basename, dirname } from 'node:path';
import { type Command, InvalidArgumentError, Option } from 'commander';
import jpeg from 'jpeg-js';
import { shippedMaterials } from '../../burn/shipped.ts';
import { withFeed } from '../../change/write-feed.ts';
import { type DemoJob, demoJobs, demoMachines } from '../../demo/index.ts';
import { InputError } from '../../errors.ts';
import { readOptions } from '../../forecast.ts';
import { readMachine } from '../../machine/profile.ts';
import type { BoardFace } from '../../own-board/own-board.ts';
import type { BroughtFace, BroughtJob } from '../../page/brought-job.ts';
import { readProgram } from '../../program/read.ts';
import { addBoardOptions, type BoardWords, layBoard } from '../board.ts';
import type { CommandContext } from '../context.ts';
import { keeping, readChunks } from '../files.ts';
import { addSetupOptions, readSetup, type Setup, type SetupWords } from '../setup.ts';
import { pageTemplate } from '../viewer/files.ts';
import { withJobs } from '../viewer/page.ts';
import { showViewer } from '../viewer/show.ts';
import { checkOutputFile, writeFile, writtenLines } from '../write-files.ts';

interface ViewWords extends SetupWords, BoardWords {
  readonly save?: string;
  readonly port: number;
  readonly open: boolean;
}

export function addView(root: Command, { terminal }: CommandContext): void {
  addBoardOptions(
    addSetupOptions(
      root
        .command('view')
        .argument('[job]', 'the G-code file; without one the demo is opened')
        .argument('[job-b]', 'a second one, to compare it with'),
    ),
  )
    .description('watch a job burn in the browser, change its settings, compare, learn')
    .option('--save <page.html>', 'write one self-contained page with the job in it instead of opening it')
    .addOption(
      new Option('--port <number>', 'port to serve on, at 127.0.0.1 only')
        .argParser(readPort)
        .default(0, 'any free one'),
    )
    .option('--no-open', 'do not ask the system to open its browser')
    .action(async (job: string | undefined, jobB: string | undefined, words: ViewWords) => {
      if (job === undefined && words.board !== undefined)
        throw new InputError(
          'found --board without a job; expected one, since the board is looked for under it',
        );
      const { setup, face } = layBoard(words, readSetup(words), () => readChunks(job!), []);
      const files = [job, jobB].filter((file) => file !== undefined);
      const { save } = words;
      const rules = { inputs: [...files, ...setup.inputs] };
      if (save !== undefined && !/\.html?$/i.test(save))
        throw new InputError(`found --save ${save}; expected a name that ends in .html`);
      if (save !== undefined) checkOutputFile(save, rules);
      const jobs =
        job === undefined
          ? [await broughtDemo(demoJobs[0]!)]
          : files.map((file) => ({ ...brought(file, setup), face: face && broughtFace(face) }));
      if (save === undefined) {
        await showViewer(jobs, { port: words.port, open: words.open && process.stdout.isTTY }, terminal);
        return;
      }
      const lines = writtenLines(
        [save],
        () => [writeFile(save, withJobs(pageTemplate(), jobs), rules)],
        () =>
          `Written: ${save}. It holds the viewer and ${jobs.length === 1 ? 'the job' : 'both jobs'}, and opens without a network${dirname(save) === '.' ? '' : ', wherever it is copied to'}.`,
      );
      terminal.out(lines.join('\n'));
    });
}

function readPort(text: string): number {
  const port = Number(text);
  if (!Number.isInteger(port) || port < 0 || port > 65535)
    throw new InvalidArgumentError('expected a port from 0 to 65535.');
  return port;
}

/** The page holds the job as text and forecasts it in a browser, which has no more room than that. */
const MOST_SHOWN_BYTES = 200e6;

/** Good enough for wood, and a tenth of its pixels in bytes. */
const FACE_QUALITY = 88;

function broughtFace({ rgb, ...face }: BoardFace): BroughtFace {
  const { nx: width, ny: height } = face;
  const data = Buffer.alloc(4 * width * height, 255);
  for (let k = 0; k < width * height; k++) data.set(rgb.subarray(3 * k, 3 * k + 3), 4 * k);
  const file = jpeg.encode({ width, height, data }, FACE_QUALITY).data;
  return { ...face, image: `data:image/jpeg;base64,${Buffer.from(file).toString('base64')}` };
}

/** A job file as the page carries it; one that cannot be read is refused here, by its line. */
function brought(file: string, setup: Setup): BroughtJob {
  const { machine, machineFile, material, stock, cellMm, feedMmPerS, notes } = setup;
  const pieces: string[] = [];
  const options = readOptions(machine, feedMmPerS);
  try {
    readProgram(keeping(readChunks(file, MOST_SHOWN_BYTES), pieces), options);
  } catch (error) {
    throw error instanceof InputError ? error.from(file) : error;
  }
  const source = pieces.join('');
  const text = Array.from(withFeed([source], options)).join('');
  const name = basename(file);
  const given =
    text === source
      ? []
      : ['The job has moves without a feed; the page’s copy of it has the feed of --feed written there.'];
  return {
    name,
    title: name,
    about: '',
    text,
    machine,
    machineFile,
    material,
    stock,
    cellMm,
    notes: [...notes, ...given],
  };
}

/** A piece of the demo as the page carries it. */
export async function broughtDemo(job: DemoJob): Promise<BroughtJob> {
  return {
    name: `${job.name}.nc`,
    title: job.title,
    about: job.about,
    text: await job.readText(),
    machine: readMachine(demoMachines[job.machine], job.machine),
    material: shippedMaterials[job.material]!,
    stock: job.stock,
    cellMm: null,
    notes: [],
  };
}
