import type { Command } from 'commander';
import { InputError } from '../../errors.ts';
import { doubtsOf } from '../../explain/doubts.ts';
import { type Explanation, explainMachine } from '../../explain/explain.ts';
import { type MachineFromListing, machineFromListing, type PartialMachine } from '../../machine/listing.ts';
import { type Machine, type MachineFile, readMachine } from '../../machine/profile.ts';
import type { CommandContext } from '../context.ts';
import { readJson, readText } from '../files.ts';
import { about } from '../job-file.ts';
import { profileText } from '../profile-text.ts';
import { readChoice, readPair, readQuantity } from '../quantity.ts';
import { CAUTION, wrap } from '../summary.ts';
import { writeFile, writtenLines } from '../write-files.ts';

interface MachineWords {
  readonly from?: string;
  readonly check?: string;
  readonly output?: string;
  readonly base?: string;
  readonly name?: string;
  readonly power?: string;
  readonly wavelength?: string;
  readonly spot?: string;
  readonly sMax?: string;
  readonly bed?: string;
  readonly baud?: string;
  readonly m203?: string;
  readonly m205x?: string;
  readonly anyway?: boolean;
}

export function addMachine(root: Command, { terminal }: CommandContext): void {
  root
    .command('machine')
    .description('make a machine profile from a controller’s own settings, or explain one')
    .option('--from <file>', 'a settings listing, as the controller prints it ($n=value, or M201, M203 …)')
    .option('-o, --output <file>', 'where to write the profile (default: shown, not written)')
    .option('--check <file>', 'explain a profile in sentences')
    .option('--base <file>', 'a profile that has what the listing cannot tell')
    .option('--name <name>', 'what to call the machine')
    .option('--power <W>', 'light at full power, as in 10W; not the electrical power')
    .option('--wavelength <nm>', 'as in 450nm')
    .option('--spot <WxH>', 'width of the spot in mm, as in 0.08x0.10')
    .option('--s-max <S>', 'the S of full power')
    .option('--bed <WxH>', 'size of the bed in mm, as in 400x400')
    .option('--baud <rate>', 'speed of the serial line, when it is to be simulated')
    .option('--m203 <unit>', 'what M203 counts: mm/s or mm/min (default: judged by the listing)')
    .option('--m205x <meaning>', 'what the X of M205 is: step or deviation (default: judged by the listing)')
    .option('--anyway', 'take values that look like a slip')
    .action((words: MachineWords) => {
      if ((words.from === undefined) === (words.check === undefined)) {
        throw new InputError('found no file to work on, or two; expected --from LISTING or --check PROFILE');
      }
      const stray = Object.keys(words).find((name) => name !== 'check');
      if (words.check !== undefined && stray !== undefined) {
        throw new InputError(
          `found --${stray.replace(/[A-Z]/g, (capital) => `-${capital.toLowerCase()}`)} beside --check; expected it with --from, where it changes the profile`,
        );
      }
      const lines = words.check === undefined ? fromListing(words) : check(words.check);
      terminal.out(lines.join('\n'));
    });
}

function check(path: string): string[] {
  const file = readJson(path, 'machine');
  return [...explanationLines(explainMachine(readMachine(file, path), file)), '', ...wrap(CAUTION, '', '')];
}

/** Reads the listing, writes the profile, and says what each line meant. */
function fromListing(words: MachineWords): string[] {
  const listing = words.from!;
  const said = optionsOf(words);
  const base = words.base === undefined ? said : readBase(words.base, said);
  const made = about(listing, () => readListing(listing, base, words));
  const profile = over(made.profile, said) as MachineFile;
  const machine = readMachine(profile, listing);
  if (!words.anyway) refuseDoubtful(machine, listing);
  const text = profileText(profile);
  const inputs = words.base === undefined ? [listing] : [listing, words.base];
  const { output } = words;
  const end =
    output === undefined
      ? ['The profile (-o FILE writes it)', '', text.trimEnd()]
      : [
          ...writtenLines([output], () => [writeFile(output, text, { inputs })]),
          `What it means for a job: charcast machine --check ${output}`,
        ];
  return [...listingLines(made), ...missingLines(profile), '', ...end];
}

/** A profile is kept and used for years: what looks like a slip is asked about before it is written. */
function refuseDoubtful(machine: Machine, source: string): void {
  const doubts = doubtsOf(machine);
  if (doubts.length > 0) {
    throw new InputError(
      `found ${doubts.join('; ')}; expected what an engraver has: correct it, or say --anyway`,
      { source },
    );
  }
}

/** Asks for what no listing tells. */
function missingLines({ laser, spot }: MachineFile): string[] {
  const taken = readMachine({ laser });
  const asked = [
    spot?.width_mm === undefined &&
      `The width of the spot: ${taken.spot.width_mm.join(' × ')} mm is taken; say --spot 0.08x0.10.`,
    laser.wavelength_nm === undefined &&
      `The wavelength: ${taken.laser.wavelength_nm} nm is taken; say --wavelength 450nm.`,
  ].filter((text) => text !== false);
  return asked.length === 0
    ? []
    : ['', 'What no listing tells', '', ...asked.flatMap((text) => wrap(text, '  ', '    '))];
}

/** A profile that may lack what the options say. */
function readBase(path: string, said: PartialMachine): PartialMachine {
  const file = readJson(path, 'machine');
  if (typeof file !== 'object' || file === null || Array.isArray(file)) readMachine(file, path); // which refuses it
  const base = over(file as PartialMachine, said);
  readMachine(base, path);
  return base;
}

function readListing(path: string, base: PartialMachine, words: MachineWords): MachineFromListing {
  const text = readText(path, 'listing');
  const choices = {
    ...(words.m203 !== undefined && { m203: readChoice('--m203', words.m203, ['mm/s', 'mm/min']) }),
    ...(words.m205x !== undefined && { m205x: readChoice('--m205x', words.m205x, ['step', 'deviation']) }),
  };
  if (base.laser?.optical_power_w === undefined) {
    throw new InputError(
      'found no optical power, since a listing cannot tell it; expected --power, as in --power 10W (the light, not the electrical power), or a profile with --base',
    );
  }
  return machineFromListing(text, base, choices);
}

/** What the options say, as part of a profile. */
function optionsOf(words: MachineWords): PartialMachine {
  const { name, power, wavelength, spot, sMax, bed, baud } = words;
  const laser = {
    ...(power !== undefined && {
      optical_power_w: readQuantity('--power', power, 'W', 'watts of light, as in 10W'),
    }),
    ...(wavelength !== undefined && {
      wavelength_nm: readQuantity('--wavelength', wavelength, 'nm', 'a wavelength in nm, as in 450nm'),
    }),
    ...(sMax !== undefined && {
      s_max: readQuantity('--s-max', sMax, '', 'the S of full power, as in 1000'),
    }),
  };
  return {
    ...(name !== undefined && { name }),
    ...(bed !== undefined && { work_area_mm: readPair('--bed', bed, 'width x height in mm, as in 400x400') }),
    ...(baud !== undefined && {
      link: { baud: readQuantity('--baud', baud, '(?:baud)?', 'bits per second, as in 115200') },
    }),
    ...(Object.keys(laser).length > 0 && { laser }),
    ...(spot !== undefined && {
      spot: { width_mm: readPair('--spot', spot, 'its width in mm, as in 0.08x0.10') },
    }),
  };
}

/** A profile with some fields replaced; `laser` and `spot` field by field. */
const over = (under: PartialMachine, upper: PartialMachine): PartialMachine => ({
  ...under,
  ...upper,
  ...((under.laser ?? upper.laser) && { laser: { ...under.laser, ...upper.laser } }),
  ...((under.spot ?? upper.spot) && { spot: { ...under.spot, ...upper.spot } }),
});

function listingLines({ told, unused }: MachineFromListing): string[] {
  const lines = ['What the listing says', ''];
  for (const { line, text, doubt } of told) {
    const otherwise = doubt ? ` If that is wrong, say --${doubt.choice} ${doubt.other}.` : '';
    lines.push(...wrap(`${line > 0 ? `Line ${line}. ` : ''}${text}${otherwise}`, '  ', '    '));
  }
  if (unused.length > 0) lines.push('', 'Not used (settings among them are kept as notes)', '');
  for (const { line, text } of unused) {
    lines.push(...wrap(`${line > 0 ? `Line ${line}. ` : ''}${text}`, '  ', '    '));
  }
  return lines;
}

function explanationLines({ name, parts }: Explanation): string[] {
  const lines = [name];
  let hasDefaults = false;
  for (const { heading, sentences } of parts) {
    lines.push('', heading);
    for (const { text, defaults, isDoubtful } of sentences) {
      hasDefaults ||= defaults.length > 0;
      const mark = defaults.length > 0 ? ` [default: ${defaults.join(', ')}]` : '';
      lines.push(...wrap(`${isDoubtful ? 'Doubtful: ' : ''}${text}${mark}`, '  ', '    '));
    }
  }
  if (hasDefaults) {
    lines.push(
      '',
      ...wrap(
        'Where it says default, the profile leaves the field out and the value named here is used.',
        '',
        '',
      ),
    );
  }
  return lines;
}
