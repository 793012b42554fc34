import { type Lab, type Material, readMaterial } from '../../burn/material.ts';
import { needOf } from '../../burn/respond.ts';
import { BenchError } from '../../errors.ts';
import { luminance } from '../photo/photo.ts';
import type { PhotoReading } from '../photo/read.ts';
import { type PatchDose, readArea, type SwatchDoses } from '../replay.ts';
import type { Swatch } from '../swatch.ts';
import { labOfLinear, linearOfLab } from './colour-space.ts';
import { fitRemoval, type RemovalBound, type RemovalFit } from './cuts.ts';
import { fitLadder, type LadderFit } from './ladder.ts';
import {
  type BareReference,
  fitResponse,
  type Observation,
  observationsOf,
  type ResponseFit,
} from './response.ts';

export interface FitOptions {
  /** The profile to start from; what the swatch cannot tell stays as it is there. */
  readonly base: Material;
  /** Numbers of the cuts that went through; null: not told. */
  readonly cuts: readonly number[] | null;
  /** When the swatch was burned or fitted, as it shall stand in the profile. */
  readonly date: string;
  /** The new profile's name. */
  readonly name: string;
}

/** Everything a burned swatch told. */
export interface SwatchFit {
  /** The whole profile: fitted numbers *measured by a burned swatch*, the others as they were. */
  readonly material: Material;
  readonly response: ResponseFit;
  readonly observations: readonly Observation[];
  readonly removal: RemovalFit | RemovalBound | null;
  readonly ladders: readonly LadderFit[];
  readonly bare: BareReference;
  /** The numbers that were fitted, as in the profile's file. */
  readonly fitted: readonly string[];
  /** What could not be told and why, in plain sentences. */
  readonly untold: readonly string[];
  /** What to look at, in plain sentences. */
  readonly remarks: readonly string[];
}

/** White office paper in CIELAB (near the papers of ISO 12647-2, L* 93 to 95; value from memory). */
const PAPER: Lab = [94, 0, 0];
/** One standard deviation of it, and of the light beside the board against the light on it. */
const PAPER_SIGMA: Lab = [2, 1.5, 2];

/**
 * Fits a material to a burned swatch.
 * @param doses from `replaySwatch`.
 * @param reading from `readPhoto`.
 * @throws {BenchError} when the patches tell no response at all, or a cut's number is none.
 */
export function fitSwatch(
  swatch: Swatch,
  doses: SwatchDoses,
  reading: PhotoReading,
  options: FitOptions,
): SwatchFit {
  const { machine, stock } = swatch;
  const beam = { spot: machine.spot, wavelengthNm: machine.laser.wavelength_nm };
  const base = toldForLight(options.base, beam.wavelengthNm);
  const bare = bareReference(base, reading);
  const observations = observationsOf(
    doses.patches,
    reading.patches,
    reading.scatter,
    reading.bare,
    bare,
    readMm2,
  );
  refuseFlat(observations, bare);

  const removalWith = (wood: Material, firstMark: number, fullChar: number) =>
    options.cuts === null || doses.cuts.length === 0 || stock.thickness_mm === null
      ? null
      : fitRemoval(doses.cuts, options.cuts, stock.thickness_mm, wood, beam, { firstMark, fullChar });
  // Deep floors look darker, so removal comes first; it hardly depends on where the wood begins to mark.
  const rough = removalWith(base, 0, 0);
  const removed = isFit(rough) ? rough.removalJPerMm3 : base.removal_j_mm3.value;
  const wood = { ...base, removal_j_mm3: { ...base.removal_j_mm3, value: removed } };
  const response = fitResponse(observations, wood, beam, bare);
  const removal = removalWith(response.material, response.sigma.first_mark, response.sigma.full_char);
  const darkness = darknessOf(response, bare);
  const ladders = (['x', 'y'] as const)
    .map((along) => fitLadder(along, doses.lines, reading.lines, machine.spot, darkness))
    .filter((ladder) => ladder !== null);
  const { material, fitted } = profileFrom(base, response, removal, reading, options);
  return {
    material,
    response,
    observations,
    removal,
    ladders,
    bare,
    fitted,
    untold: untoldBy(response, removal, ladders, reading, doses, options),
    remarks: remarksOn(response, removal, ladders, observations, reading),
  };
}

export const isFit = (removal: RemovalFit | RemovalBound | null): removal is RemovalFit =>
  removal !== null && 'removalJPerMm3' in removal;

const readMm2 = ({ patch }: PatchDose): number => {
  const area = readArea(patch);
  return (area.maxXMm - area.minXMm) * (area.maxYMm - area.minYMm);
};

/** The same profile with its doses told for another wavelength: nothing it forecasts at that one changes. */
export function toldForLight(material: Material, wavelengthNm: number): Material {
  if (material.marked_with_nm === wavelengthNm) return material;
  const factor = needOf(material, wavelengthNm).byDepth;
  const scaled = <Q extends { value: number; plus_minus: number | null }>(q: Q): Q => ({
    ...q,
    value: q.value * factor,
    plus_minus: q.plus_minus === null ? null : q.plus_minus * factor,
  });
  return {
    ...material,
    marked_with_nm: wavelengthNm,
    first_mark_j_mm2: scaled(material.first_mark_j_mm2),
    full_char_j_mm2: scaled(material.full_char_j_mm2),
  };
}

/** The bare wood's colour: measured against white paper where some is shown, else as the profile has it. */
function bareReference(base: Material, { whiteOverBare }: PhotoReading): BareReference {
  const { value, plus_minus } = base.colour.bare_lab;
  if (whiteOverBare === null) {
    const sigma = plus_minus ?? 5;
    return { lab: value, sigma: [sigma, sigma, sigma] };
  }
  const paper = linearOfLab(PAPER);
  const light = paper.map((c, k) => c / whiteOverBare[k]!) as unknown as [number, number, number];
  return { lab: labOfLinear(light), sigma: PAPER_SIGMA };
}

/** A photo on which no patch is darker than another has nothing to fit. */
function refuseFlat(observations: readonly Observation[], bare: BareReference): void {
  const darkest = Math.min(...observations.map(({ lab }) => lab[0]));
  if (bare.lab[0] - darkest < 12) {
    throw new BenchError(
      `found patches that are hardly darker than the bare wood (L* ${darkest.toFixed(0)} against ${bare.lab[0].toFixed(0)}); ` +
        'expected some to be burned brown or black: is the machine profile the right one, was the beam in focus?',
    );
  }
}

/** The share of light that burning takes away, in luminance, as the photo shows it. */
function darknessOf(response: ResponseFit, bare: BareReference) {
  const white = luminance(...linearOfLab(bare.lab));
  return (doseJPerMm2: number, dwellS: number): number =>
    1 - luminance(...linearOfLab(response.shownAt(doseJPerMm2, dwellS))) / white;
}

type Quantity = { value: unknown; plus_minus: number | null; basis: string };

function profileFrom(
  base: Material,
  response: ResponseFit,
  removal: RemovalFit | RemovalBound | null,
  reading: PhotoReading,
  { date, name }: FitOptions,
): { material: Material; fitted: string[] } {
  const basis = `measured by a burned swatch, ${date}`;
  const fitted: string[] = [];
  const measured = <Q extends Quantity>(
    field: string,
    told: boolean,
    was: Q,
    value: Q['value'],
    sigma: number,
  ): Q => {
    if (!told) return was;
    fitted.push(field);
    return { ...was, value: rounded(value, sigma), plus_minus: twoDigits(sigma), basis };
  };
  const { determined, sigma, material: wood } = response;
  const material = {
    ...base,
    name,
    first_mark_j_mm2: measured(
      'first_mark_j_mm2',
      determined.first_mark,
      base.first_mark_j_mm2,
      wood.first_mark_j_mm2.value,
      sigma.first_mark,
    ),
    full_char_j_mm2: measured(
      'full_char_j_mm2',
      determined.full_char,
      base.full_char_j_mm2,
      wood.full_char_j_mm2.value,
      sigma.full_char,
    ),
    removal_j_mm3: measured(
      'removal_j_mm3',
      isFit(removal),
      base.removal_j_mm3,
      isFit(removal) ? removal.removalJPerMm3 : 0,
      isFit(removal) ? removal.sigmaJPerMm3 : 1,
    ),
    colour: {
      bare_lab: measured(
        'colour.bare_lab',
        reading.whiteOverBare !== null,
        base.colour.bare_lab,
        [...response.bare.lab] as [number, number, number],
        Math.max(...response.bare.sigma),
      ),
      char_lab: measured(
        'colour.char_lab',
        determined.char_lab,
        base.colour.char_lab,
        wood.colour.char_lab.value,
        sigma.char_lab,
      ),
      warmth_ab: measured(
        'colour.warmth_ab',
        determined.warmth_ab,
        base.colour.warmth_ab,
        wood.colour.warmth_ab.value,
        sigma.warmth_ab,
      ),
      lightening_l: measured(
        'colour.lightening_l',
        determined.lightening_l,
        base.colour.lightening_l,
        Math.max(0, wood.colour.lightening_l.value),
        sigma.lightening_l,
      ),
    },
  };
  // The schema's own checks: a fitted profile must be one that can be read again.
  return { material: readMaterial(material, 'the fitted profile'), fitted };
}

const twoDigits = (value: number): number => Number(value.toPrecision(2));

/** Rounded to a tenth of its uncertainty: digits beyond that are not true. */
function rounded<T>(value: T, sigma: number): T {
  const decimals = Math.min(12, Math.max(0, 1 - Math.floor(Math.log10(Math.max(sigma, 1e-9)))));
  const round = (each: number) => Number(each.toFixed(decimals));
  return (Array.isArray(value) ? value.map(round) : round(value as number)) as T;
}

function untoldBy(
  { determined, sigma }: ResponseFit,
  removal: RemovalFit | RemovalBound | null,
  ladders: readonly LadderFit[],
  reading: PhotoReading,
  doses: SwatchDoses,
  { cuts, base }: FitOptions,
): string[] {
  const untold: string[] = [];
  const stays = (what: string, why: string) => untold.push(`${what} stays as it was: ${why}.`);
  if (!determined.first_mark)
    stays(
      'First mark',
      `the patches know it only within ${sigma.first_mark.toPrecision(2)} J/mm², or the weakest of them is already marked`,
    );
  if (!determined.full_char)
    stays(
      'Full char',
      `the patches know it only within ${sigma.full_char.toPrecision(2)} J/mm², or the strongest of them does not reach it`,
    );
  if (!determined.char_lab) stays('Char colour', 'no patch is surely beyond full char');
  if (!determined.warmth_ab)
    stays('Warmth', `tan and brown patches know it only within ${sigma.warmth_ab.toPrecision(2)}`);
  if (!determined.lightening_l)
    stays(
      'Lightening beyond full char',
      `the patches know it only within ${sigma.lightening_l.toPrecision(2)} of L*`,
    );
  if (reading.whiteOverBare === null) {
    stays(
      'Bare colour',
      'a photo tells colours only relative to something; white paper beside the board and --white would tell it',
    );
  }
  if (doses.cuts.length === 0) stays('Removal', 'the swatch has no cut lines');
  else if (cuts === null)
    stays('Removal', 'it was not told which cuts went through; give their numbers with --cuts');
  else if (removal !== null && !isFit(removal)) {
    const { atLeastJPerMm3, atMostJPerMm3 } = removal;
    if (atLeastJPerMm3 !== null)
      stays('Removal', `no cut went through, so it is more than ${atLeastJPerMm3.toPrecision(2)} J/mm³`);
    if (atMostJPerMm3 !== null)
      stays('Removal', `every cut went through, so it is less than ${atMostJPerMm3.toPrecision(2)} J/mm³`);
  }
  stays('Wall loss', 'one thickness cannot tell it from removal');
  stays('Surface rise of full char', 'the patches differ too little in how long the beam stays');
  if (ladders.length < 2)
    untold.push('The spot width across some lines could not be told: too few of them are dark enough.');
  if (base.moisture_percent.plus_minus !== null)
    stays('Moisture, density and absorption', 'a swatch does not show them');
  return untold;
}

function remarksOn(
  response: ResponseFit,
  removal: RemovalFit | RemovalBound | null,
  ladders: readonly LadderFit[],
  observations: readonly Observation[],
  reading: PhotoReading,
): string[] {
  const remarks: string[] = [];
  for (const { along, widthMm, widthSigmaMm, profileWidthMm } of ladders) {
    const off = Math.abs(widthMm - profileWidthMm);
    if (off > 3 * widthSigmaMm && off > 0.1 * profileWidthMm) {
      remarks.push(
        `Lines along ${along} say that the spot is ${widthMm.toFixed(2)} ± ${widthSigmaMm.toFixed(2)} mm wide across them; ` +
          `the machine profile says ${profileWidthMm.toFixed(2)} mm. Correct spot.width_mm, or the focus, and fit again.`,
      );
    }
  }
  if (response.chiSquarePerFreedom > 4) {
    remarks.push(
      `The patches scatter ${Math.sqrt(response.chiSquarePerFreedom).toFixed(1)} times as far from the curve as grain and noise explain; ` +
        'the uncertainties were widened by as much. Smoke stains, uneven veneer or a wrong machine profile are the usual causes.',
    );
  }
  if (isFit(removal) && removal.mixed) {
    remarks.push(
      'A weaker cut went through where a stronger one did not, so removal is told with more doubt. Glue and knots do that.',
    );
  }
  const clipped = observations.filter((_, k) => reading.patches[k]!.clipped > 0.1).length;
  if (clipped > 0) {
    remarks.push(
      `${clipped} ${clipped === 1 ? 'patch is' : 'patches are'} partly at the end of what the camera can tell, so the char may be darker than told.`,
    );
  }
  return remarks;
}
