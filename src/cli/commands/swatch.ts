import { basename, dirname, extname, join } from 'node:path';
import type { Command } from 'commander';
import { InputError } from '../../errors.ts';
import { readOptions } from '../../forecast.ts';
import { addAll, greatestOf, leastOf } from '../../lists.ts';
import { planMotion } from '../../motion/plan.ts';
import { readProgram } from '../../program/read.ts';
import { cutLinesDoubt, makeSwatch } from '../../swatch/make.ts';
import type { Swatch } from '../../swatch/swatch.ts';
import { mmPerSToMmPerMin } from '../../units.ts';
import { numberWords, timesWords, timeWords } from '../../words.ts';
import type { CommandContext } from '../context.ts';
import { addBenchOptions, readSetup, type SetupWords } from '../setup.ts';
import { CAUTION, titled, wrap } from '../summary.ts';
import { checkOutputs, refuseOtherKind, writeFiles, writtenLines } from '../write-files.ts';

interface SwatchWords extends SetupWords {
  readonly output: string;
}

export function addSwatch(root: Command, { terminal }: CommandContext): void {
  addBenchOptions(root.command('swatch'))
    .description('write a calibration piece to burn: patches, lines, cuts, and marks to find them by')
    .option('-o, --output <file>', 'the G-code to write; what it holds goes beside it as .json', 'swatch.nc')
    .action((words: SwatchWords) => {
      const { machine, material, stock, inputs, notes } = readSetup(words);
      if (stock === null)
        throw new InputError(
          'found no --stock; expected the board the swatch is burned on, as in 100x60x4 (mm)',
        );
      refuseOtherKind(words.output);
      const name = basename(words.output);
      const companion = `${basename(name, extname(name))}.json`;
      const folder = dirname(words.output);
      const rules = { inputs, precious: { [companion]: PRECIOUS_KEY } };
      checkOutputs(folder, [name, companion], rules);
      const made = makeSwatch(machine, stock, { material });
      const { durationS } = planMotion(readProgram(made.gcode, readOptions(machine)), machine);
      const hasCuts = made.swatch.cuts.length > 0;
      const doubt = hasCuts ? cutLinesDoubt(machine, material, stock.thicknessMm) : null;
      const key = `${JSON.stringify(made.swatch, null, 2)}\n`;
      const written = writtenLines([join(folder, name)], () =>
        writeFiles(folder, { [name]: made.gcode, [companion]: key }, rules),
      );
      const lines = [
        `A swatch for ${machine.name} on ${material.name}`,
        '',
        ...[...aboutSwatch(made.swatch), ...(doubt ? [doubt] : [])].flatMap((each) => wrap(each, '', '  ')),
        `Burning it takes about ${timeWords(durationS)}.`,
        '',
        ...nextSteps(made.swatch, join(dirname(words.output), companion)).flatMap((each) =>
          wrap(each, '  ', '    '),
        ),
      ];
      addAll(lines, titled('Good to know', [...notes, ...made.notes]));
      lines.push('', ...wrap(CAUTION, '', ''), '');
      addAll(lines, written);
      terminal.out(lines.join('\n'));
    });
}

const PRECIOUS_KEY =
  'found what an earlier swatch holds, without which its burned board cannot be read; expected another name with -o, as in oak-swatch.nc';

function aboutSwatch({ patches, lines, cuts, machine, area, code }: Swatch): string[] {
  const feeds = patches.map((patch) => mmPerSToMmPerMin(patch.speed_mm_s));
  const percents = patches.map((patch) => (100 * patch.s) / machine.laser.s_max);
  const range = (values: readonly number[]) =>
    `${numberWords(leastOf(values), 2)} to ${numberWords(greatestOf(values), 2)}`;
  const sentences = [
    `It takes up ${area.size_mm.map((mm) => numberWords(mm)).join(' × ')} mm of the board, from its lower left corner.`,
    `${patches.length} patches, ${range(feeds)} mm/min across ${range(percents)} % power; ${lines.length} single lines.`,
    ...(code
      ? [
          `Its code, ${code.text}, is engraved at the upper right and kept in the key, so that the two are not mixed up.`,
        ]
      : []),
  ];
  if (cuts.length > 0) {
    const cutFeeds = cuts.map((cut) => mmPerSToMmPerMin(cut.speed_mm_s));
    const passes = cuts[0]!.passes;
    sentences.push(
      `${cuts.length} cut lines at full power, ${range(cutFeeds)} mm/min${passes > 1 ? `, each burned ${timesWords(passes)}` : ''}; number 1 is the strongest.`,
    );
  }
  return sentences;
}

const nextSteps = ({ cuts }: Swatch, companion: string): string[] => [
  '1. Burn it on a piece of the wood you mean to use, as flat and as clean as the work will be, with the same focus and air.',
  ...(cuts.length > 0
    ? ['2. Look at the back: note the numbers of the cut lines that went through all along.']
    : []),
  `${cuts.length > 0 ? 3 : 2}. Photograph it from above in even daylight, whole, sharp, filling the picture; a strip of plain white paper beside it tells the wood’s own colour too.`,
  `${cuts.length > 0 ? 4 : 3}. charcast fit --swatch ${companion} --photo photo.jpg${cuts.length > 0 ? ' --cuts "1 2 3"' : ''} -o my-wood.json`,
];
