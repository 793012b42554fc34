import type { Material } from '../../src/burn/material.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { toldOf } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { type ForecastLearnt, learn } from '../../src/outcome/learn.ts';
import { PLACE_PLUS_MINUS } from '../../src/outcome/reached.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import { below, seeded } from '../support/random.ts';
import { answerTo, type CutThere, cutsIn, normals, truthOf, type Workshop } from './workshop.ts';

/**
 * Workshops at random: forecast by the profiles, burned with the truth, told by a person whose eye and stick err, learned
 * from; then asked how well the wood is known. Everything comes from seeds.
 */
export interface Tried {
  /** Typical (root mean square) error of tone over settings not burned before, with what was known before and after. */
  readonly before: number;
  readonly after: number;
  /** Whether a cut that is forecast to come through on 19 of 20 does, and on half of them. */
  readonly sureCame: boolean;
  readonly halfCame: boolean;
  readonly sureCameBefore: boolean;
  readonly flagged: number;
}

export interface Trial {
  readonly material: Material;
  readonly machine: Machine;
  readonly burns: number;
  /** Whether the person mixes the operations up. */
  readonly mixedUp?: boolean;
  readonly keepsMachine?: boolean;
}

const STOCK = { widthMm: 20, heightMm: 14, thicknessMm: 3, xMm: 0, yMm: 0 };
const CELL_MM = 0.25;

/** Two areas to engrave, a paler and a darker one, and a cut, at settings of the burn's own. */
function jobOf(random: () => number): string {
  const lines = ['G21 G90', 'M4 S0'];
  const area = (x: number, s: number, feed: number) => {
    lines.push(`G0 X${x} Y2`);
    for (let row = 0; row < 6; row++) {
      const [from, to] = row % 2 === 0 ? [x, x + 4] : [x + 4, x];
      lines.push(`G1 X${from} Y${(2 + row * 0.1).toFixed(1)} S0 F${feed}`, `X${to} S${s}`);
    }
  };
  area(3, Math.round(110 + 130 * random()), 3000);
  lines.push('M5', 'M4 S0');
  area(12, Math.round(180 + 260 * random()), 2900);
  lines.push('M5', 'M3 S0', 'G0 X3 Y10', `G1 X17 S1000 F${Math.round(300 + 700 * random())}`);
  if (random() < 0.5) lines.push('X3');
  lines.push('M5', 'M2');
  return `${lines.join('\n')}\n`;
}

/** A job's forecast as far as it is told of and learned from. */
interface Burned extends ForecastLearnt {
  readonly cuts: readonly CutThere[];
  /** Of each operation. */
  readonly tones: readonly number[];
}

function burnedBy(text: string, workshop: Workshop): Burned {
  const { material, machine } = workshop;
  const made = answerTo(text, workshop, CELL_MM);
  const evidence = gatherEvidence(toldOf(made));
  return {
    ...made,
    findings: [],
    cuts: cutsIn(evidence),
    tones: evidence.operations.map(({ straightJPerMm2, straightDwellS }) =>
      toneOf(straightJPerMm2, straightDwellS, material, machine.laser.wavelength_nm),
    ),
  };
}

/** What a person says of it, whose eye errs by a few hundredths of tone and whose stick by a tenth of a millimetre. */
function saidOf(expected: Burned, real: Burned, normal: () => number, cutNumber: number): string[] {
  return expected.tones.map((tone, k) => {
    if (k + 1 === cutNumber) {
      const cut = real.cuts.find(({ operation }) => operation === cutNumber)!;
      if (cut.through) return 'through';
      const mm = Math.min(2.9, Math.max(0.1, cut.shallowestMm + 0.1 * normal()));
      return `${mm.toFixed(1)} mm`;
    }
    const difference = real.tones[k]! - tone + 0.03 * normal();
    const size = Math.abs(difference);
    if (size < 0.065) return 'as forecast';
    return `${size < 0.2 ? '' : 'much '}${difference > 0 ? 'darker' : 'lighter'}`;
  });
}

export function tryWorkshop(trial: Trial, seed: number): Tried {
  const { machine, burns, mixedUp = false, keepsMachine = false } = trial;
  const random = seeded(1000 + seed);
  const normal = normals(7000 + seed);
  const truth = truthOf(trial.material, machine, STOCK, seed);
  let known = { material: trial.material, machine };
  let flagged = 0;
  for (let burn = 0; burn < burns; burn++) {
    const text = jobOf(random);
    const expected = burnedBy(text, { ...known, stock: STOCK });
    // Each board is as thick as it is, and takes the light as it does.
    const thick = STOCK.thicknessMm * Math.exp(0.03 * normal());
    const laser = { ...truth.machine.laser };
    laser.optical_power_w *= Math.exp(PLACE_PLUS_MINUS * normal());
    const real = burnedBy(text, {
      ...truth,
      machine: { ...truth.machine, laser },
      stock: { ...STOCK, thicknessMm: thick },
    });
    const cut = expected.cuts[0]?.operation ?? 0;
    const isCut = cut > 0 && real.cuts.some(({ operation }) => operation === cut);
    const words = saidOf(expected, real, normal, isCut ? cut : 0);
    const told = words.flatMap((word, k) => (k + 1 === cut && !isCut ? [] : [`${k + 1}: ${word}`]));
    const lesson = learn(
      expected,
      readSaid((mixedUp ? mixed(words, cut, isCut, random) : told).join('; ')),
      { date: '2026-01-01', job: 'job.nc', jobHash: '0' },
      { keepsMachine },
    );
    if (lesson.isContradictory || lesson.odd.length > 0) flagged++;
    known = { material: lesson.material, machine: keepsMachine ? lesson.machine : machine };
  }
  return { ...asked(trial, known, truth, seed), flagged };
}

const ANY_SHADE = ['much lighter', 'lighter', 'as forecast', 'darker', 'much darker'];

/** The tones told of the wrong operations, or anything at all; a cut is told as it is. */
function mixed(words: readonly string[], cut: number, isCut: boolean, random: () => number): string[] {
  const shades = words.flatMap((word, k) => (k + 1 === cut ? [] : [{ n: k + 1, word }]));
  const isAny = random() < 0.5;
  const told = shades.map(({ word }) => (isAny ? ANY_SHADE[below(random, 5)]! : word)).reverse();
  const mixedUp = shades.map(({ n }, k) => `${n}: ${told[k]}`);
  return isCut ? [...mixedUp, `${cut}: ${words[cut - 1]}`] : mixedUp;
}

/** How well a wood is known that is not burned with any of the settings before. */
export function asked(
  trial: Pick<Trial, 'material' | 'machine'>,
  known: { material: Material; machine: Machine },
  truth: Workshop,
  seed: number,
): Omit<Tried, 'flagged'> {
  const random = seeded(3000 + seed);
  let [before, after] = [0, 0];
  const count = 12;
  for (let k = 0; k < count; k++) {
    // Areas at short dwell, from faint to nearly black.
    const [lineJPerMm2, dwellS] = [0.2 + 0.6 * random(), 0.002 + 0.004 * random()];
    const toneBy = ({ material, machine }: { material: Material; machine: Machine }) =>
      toneOf(
        (lineJPerMm2 * machine.laser.optical_power_w) / trial.machine.laser.optical_power_w,
        (dwellS * machine.spot.width_mm[0]) / trial.machine.spot.width_mm[0],
        material,
        machine.laser.wavelength_nm,
      );
    const real = toneBy(truth);
    before += (toneBy({ material: trial.material, machine: trial.machine }) - real) ** 2;
    after += (toneBy(known) - real) ** 2;
  }
  return {
    before: Math.sqrt(before / count),
    after: Math.sqrt(after / count),
    sureCame: cameThrough(known, truth, 0.95),
    halfCame: cameThrough(known, truth, 0.5),
    sureCameBefore: cameThrough(trial, truth, 0.95),
  };
}

/** Whether a cut with just so much dose that it is forecast to come through on this part of boards does so in truth. */
function cameThrough(
  { material, machine }: { material: Material; machine: Machine },
  truth: Workshop,
  part: number,
): boolean {
  const sureness = startSureness(material, machine, STOCK);
  const dwellS = 0.012;
  const chance = (doseJPerMm2: number): number => {
    const place = {
      doseJPerMm2,
      dwellS,
      headZMm: 0,
      passes: 1,
      perPassJPerMm2: doseJPerMm2,
      needTimes: 1,
      firings: null,
    };
    return sureness.comesThrough(place).chanceThrough;
  };
  let [low, high] = [0.1, 200];
  while (high / low > 1.0005) {
    const middle = Math.sqrt(low * high);
    if (chance(middle) >= part) high = middle;
    else low = middle;
  }
  const lean =
    (truth.machine.laser.optical_power_w / machine.laser.optical_power_w) *
    (machine.spot.width_mm[0] / truth.machine.spot.width_mm[0]);
  const dwell = (dwellS * truth.machine.spot.width_mm[0]) / machine.spot.width_mm[0];
  const wood = woodAnswer(truth.material, beamOf(truth.machine));
  return high * lean >= wood.doseForDepth(truth.stock.thicknessMm!, dwell, 0);
}
