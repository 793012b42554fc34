import type { Material } from '../../burn/material.ts';
import { needOf } from '../../burn/need.ts';
import { InputError } from '../../errors.ts';
import { leastOf } from '../../lists.ts';
import { refuseUnknownOptions } from '../../options.ts';
import { linearOfLab } from '../../photo/colour-space.ts';
import { luminance } from '../../photo/photo.ts';
import type { PhotoReading } from '../photo/read.ts';
import type { SwatchDoses } from '../replay.ts';
import type { Swatch } from '../swatch.ts';
import { boundedBy } from './bounded.ts';
import { fitRemoval, isFit, type RemovalBound, type RemovalFit } from './cuts.ts';
import { fitLadder, type LadderFit } from './ladder.ts';
import { type BareReference, bareReference, type Observation, observationsOf } from './observe.ts';
import type { FitOptions } from './options.ts';
import { profileFrom } from './profile.ts';
import { fitResponse, type ResponseFit } from './response.ts';
import { remarksOn, untoldBy } from './untold.ts';

/** Everything a burned swatch told. */
export interface SwatchFit {
  /** The whole profile: fitted numbers *measured by a burned swatch*, the others as they were. */
  readonly material: Material;
  readonly response: ResponseFit;
  readonly observations: readonly Observation[];
  readonly removal: RemovalFit | RemovalBound | null;
  readonly ladders: readonly LadderFit[];
  /** The cut lines and whether they went through; empty where that was not told. */
  readonly cuts: readonly { readonly n: number; readonly peakJPerMm2: number; readonly through: boolean }[];
  readonly bare: BareReference;
  /** The numbers that were fitted, as in the profile's file. */
  readonly fitted: readonly string[];
  /** What could not be told and why, in plain sentences. */
  readonly untold: readonly string[];
  /** What to look at, in plain sentences. */
  readonly remarks: readonly string[];
}

/**
 * Fits a material to a burned swatch.
 * @param doses from `replaySwatch`.
 * @param reading from `readPhoto`.
 * @returns the whole profile with its uncertainties, and what it rests on: doses in J/mm², colours in CIELAB (D50).
 *   Source of the method: src/swatch/METHOD.md.
 * @throws {InputError} when the patches tell no response at all, a cut's number is none, or an option is unknown.
 */
export function fitSwatch(
  swatch: Swatch,
  doses: SwatchDoses,
  reading: PhotoReading,
  options: FitOptions,
): SwatchFit {
  refuseUnknownOptions(options, { base: true, cuts: true, date: true, name: true }, 'fitSwatch');
  const { machine, stock } = swatch;
  const beam = { spot: machine.spot, wavelengthNm: machine.laser.wavelength_nm };
  const base = toldForLight(options.base, beam.wavelengthNm);
  const bare = bareReference(base, reading);
  const observations = observationsOf(doses.patches, reading, bare);
  refuseFlat(observations, bare);

  const removalWith = (wood: Material, firstMark: number, fullChar: number) =>
    options.cuts === null || doses.cuts.length === 0 || stock.thickness_mm === null
      ? null
      : fitRemoval(doses.cuts, options.cuts, stock.thickness_mm, wood, beam, { firstMark, fullChar });
  // Deep floors look darker, so removal comes first; it hardly depends on where the wood begins to mark.
  const rough = removalWith(base, 0, 0);
  const was = base.removal_j_mm3;
  const removed = isFit(rough) ? rough.removalJPerMm3 : (boundedBy(was, rough)?.value ?? was.value);
  const wood = { ...base, removal_j_mm3: { ...was, value: removed } };
  const response = fitResponse(observations, wood, beam, bare);
  refuseMisfit(response);
  const removal = removalWith(response.material, response.sigma.first_mark, response.sigma.full_char);
  const darkness = darknessOf(response, bare);
  const ladders = (['x', 'y'] as const)
    .map((along) => fitLadder(along, doses.lines, reading.lines, machine.spot, darkness))
    .filter((ladder) => ladder !== null);
  const { material, fitted } = profileFrom(base, response, removal, reading, options, machine);
  return {
    material,
    response,
    observations,
    removal,
    ladders,
    cuts: doses.cuts.flatMap(({ cut: { n }, peakJPerMm2 }) =>
      options.cuts === null ? [] : [{ n, peakJPerMm2, through: options.cuts.includes(n) }],
    ),
    bare,
    fitted,
    untold: untoldBy(response, removal, ladders, reading, doses, options),
    remarks: remarksOn(response, removal, ladders, observations, reading),
  };
}

/** The same profile with its doses told for another wavelength: nothing it forecasts at that one changes. */
function toldForLight(material: Material, wavelengthNm: number): Material {
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

/** A photo on which no patch is darker than another has nothing to fit. */
function refuseFlat(observations: readonly Observation[], bare: BareReference): void {
  const darkest = leastOf(observations.map(({ lab }) => lab[0]));
  if (bare.lab[0] - darkest < 12) {
    throw new InputError(
      `found patches that are hardly darker than the bare wood (L* ${darkest.toFixed(0)} against ${bare.lab[0].toFixed(0)}); ` +
        'expected some to be burned brown or black: is the machine profile the right one, was the beam in focus?',
    );
  }
}

/** Patches this many times as far from any response as grain and noise explain are no response at all. */
const MISFIT = 12;

function refuseMisfit({ chiSquarePerFreedom }: ResponseFit): void {
  if (chiSquarePerFreedom < MISFIT ** 2) return;
  throw new InputError(
    'found patches whose colours follow no response to their doses; expected the swatch that this file describes, burned with this machine: ' +
      'look for glare, shadows and stains on the photo, and at the machine profile',
  );
}

/** The share of light that burning takes away, in luminance, as the photo shows it. */
function darknessOf(response: ResponseFit, bare: BareReference) {
  const white = luminance(...linearOfLab(bare.lab));
  return (doseJPerMm2: number, dwellS: number): number =>
    1 - luminance(...linearOfLab(response.shownAt(doseJPerMm2, dwellS))) / white;
}
