import { InputError } from '../../errors.ts';
import { mmPerMinToMmPerS } from '../../units.ts';
import { RANGES, type Range } from '../profile.ts';
import { AXIS_NAMES, type Draft, numberOf } from './draft.ts';
import type { NumberedLine } from './lines.ts';

/** What the value of a numbered setting must be, and what it does to the profile. */
interface Setting {
  readonly what: string;
  readonly range: Range;
  /** How many of the profile's units one of the listing's is. */
  readonly unit?: number;
  /** Takes the value, in the profile's unit; returns what it means, given as written. */
  take(draft: Draft, value: number, written: string): string;
}

/**
 * Numbered settings (`$n=value`), with the numbers and units that are common practice among open-source motion
 * controllers of this family. The trap: $110–$112 are per minute, $120–$122 per second.
 */
export function takeNumbered(draft: Draft, { n, value, line }: NumberedLine): void {
  const name = `$${n}=`;
  if (n === 32) {
    takeLaserMode(draft, value, line);
    return;
  }
  const setting = TAKEN.get(n);
  if (setting) {
    const number = numberOf(value, name, setting.what, setting.range, setting.unit ?? 1, line);
    const meaning = setting.take(draft, number, String(Number(value)));
    draft.told.push({ line, text: `${name}${value}: ${meaning}.` });
  } else {
    draft.unused.push({ line, text: `${name}${shortened(value)}: ${unusedText(n, value)}.` });
  }
}

const TAKEN: ReadonlyMap<number, Setting> = new Map([
  [
    11,
    {
      what: 'a junction deviation in mm',
      range: RANGES.deviationMm,
      take(draft, mm) {
        draft.cornering = { rule: 'junction-deviation', deviation_mm: mm };
        return `corners are taken with a junction deviation of ${mm} mm`;
      },
    },
  ],
  [
    12,
    {
      what: 'an arc tolerance in mm',
      range: RANGES.arcToleranceMm,
      take(draft, mm) {
        draft.arcToleranceMm = mm;
        return `arcs are cut into chords that keep within ${mm} mm of them`;
      },
    },
  ],
  [
    30,
    {
      what: 'the S of full power',
      range: RANGES.sMax,
      take(draft, s) {
        draft.laser.s_max = s;
        return `S${s} is full power`;
      },
    },
  ],
  ...AXIS_NAMES.flatMap((name, axis): [number, Setting][] => [
    [
      110 + axis,
      {
        what: 'a speed in mm/min',
        range: RANGES.speedMmPerS,
        unit: mmPerMinToMmPerS(1),
        take(draft, speed, written) {
          draft.maxSpeedMmPerS[axis] = speed;
          return `${name} moves at up to ${written} mm/min, in rapids too`;
        },
      },
    ],
    [
      120 + axis,
      {
        what: 'an acceleration in mm/s²',
        range: RANGES.accelerationMmPerS2,
        take(draft, acceleration, written) {
          draft.accelerationMmPerS2[axis] = acceleration;
          return `${name} gains and loses speed at ${written} mm/s²`;
        },
      },
    ],
  ]),
  ...AXIS_NAMES.slice(0, 2).map((name, axis): [number, Setting] => [
    130 + axis,
    {
      what: 'a length in mm',
      range: RANGES.lengthMm,
      take(draft, mm) {
        draft.axisEndMm[axis] = mm;
        return `the bed measures ${mm} mm along ${name}`;
      },
    },
  ]),
] as [number, Setting][]);

function takeLaserMode(draft: Draft, value: string, line: number): void {
  if (value !== '0' && value !== '1') {
    throw new InputError(`found $32=${shortened(value)}; expected 1 (laser mode) or 0`, { line });
  }
  const isOn = value === '1';
  draft.laser.fires_on_rapids = !isOn;
  draft.laser.m4_power = isOn ? 'proportional' : 'constant';
  const text = isOn
    ? '$32=1: laser mode is on: the beam is dark on rapids, and under M4 its power follows the speed.'
    : '$32=0: laser mode is off: the beam stays on in rapids, and M4 burns with constant power. For engraving it belongs on ($32=1).';
  draft.told.push({ line, text });
}

/** Settings that change nothing in a forecast: what they are, in `unit`. */
const UNUSED: Readonly<Record<number, readonly [meaning: string, unit: string]>> = {
  0: ['step pulse time', 'µs'],
  1: ['how long the motors are held at rest', 'ms'],
  2: ['which step signals are inverted', ''],
  3: ['which axes run the other way', ''],
  4: ['whether the enable signal is inverted', ''],
  5: ['whether the limit switches are inverted', ''],
  6: ['whether the probe is inverted', ''],
  10: ['what status reports contain', ''],
  13: ['whether reports are in inches (settings stay in mm)', ''],
  20: ['whether moves beyond the bed are refused', ''],
  21: ['whether limit switches stop the machine', ''],
  22: ['whether homing is switched on', ''],
  23: ['which way homing goes', ''],
  24: ['homing, slow', 'mm/min'],
  25: ['homing, fast', 'mm/min'],
  26: ['how long a switch must hold', 'ms'],
  27: ['how far homing backs off', 'mm'],
  100: ['steps for a millimetre along x', ''],
  101: ['steps for a millimetre along y', ''],
  102: ['steps for a millimetre along z', ''],
  132: ['how far z travels', 'mm'],
};

const shortened = (value: string): string => (value.length > 40 ? `${value.slice(0, 40)}…` : value);

function unusedText(n: number, value: string): string {
  if (n === 31) {
    return Number(value) === 0
      ? 'the least power begins at S0, as the forecast has it anyway'
      : `an S between 0 and ${shortened(value)} gives the power of S${shortened(value)}; the forecast follows S as written`;
  }
  const known = UNUSED[n];
  if (known === undefined) return 'not known here';
  const [meaning, unit] = known;
  return `${meaning}${unit && `, in ${unit}`}; the forecast does not need it`;
}
