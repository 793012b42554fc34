import type { BeamOnWood } from '../../burn/beam-on-wood.ts';
import { labOf } from '../../burn/colour.ts';
import { type DepthLaw, depthLaw, depthOfExcess } from '../../burn/depth.ts';
import { firedNeed } from '../../burn/firing.ts';
import { floorShade } from '../../burn/floor-shade.ts';
import type { Lab, Material } from '../../burn/material.ts';
import { type Need, needAt, needOf } from '../../burn/need.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone, toneOfPlainDose } from '../../burn/tone.ts';
import { LEAST_DOSE_PART } from '../../burn/uncertainty.ts';
import { greatestOf, leastOf } from '../../lists.ts';
import { labOfLinear, lightnessOfLinear, linearOfLab } from '../../photo/colour-space.ts';
import { codedOf, type LinearRgb, linearOf, threeOf } from '../../photo/photo.ts';
import type { PatchDose } from '../replay.ts';
import { type LeastSquares, leastSquares, sigmaOf, type Unknown } from './least-squares.ts';
import type { BareReference, Observation } from './observe.ts';

/**
 * From patches to the wood's response: the profile whose own forecast of every patch's colour comes nearest to
 * what the photo shows. A photo tells colours relative to the bare wood only, through a camera whose contrast
 * is not quite known. No camera's response is a plain power either, no wood's curve quite the profile's own, and how dark
 * deep floors look is a guess. All of these enter as numbers with an uncertainty, and so widen what is said of the rest.
 */

export interface ResponseFit {
  readonly material: Material;
  /** Which numbers of the profile the patches determine. */
  readonly determined: Readonly<Record<ResponseNumber, boolean>>;
  /** Standard uncertainty of each, determined or not; doses in J/mm², colours as the largest of their parts. */
  readonly sigma: Readonly<Record<ResponseNumber, number>>;
  readonly bare: { readonly lab: Lab; readonly sigma: Lab };
  readonly contrast: number;
  readonly chiSquarePerFreedom: number;
  /**
   * L* forecast for a patch that gets `doseJPerMm2` within `dwellS`, as on the photo, and the uncertainty of the wood's
   * own L* there: what the photo leaves open of bare colour and contrast is in it.
   */
  readonly lightnessAt: (doseJPerMm2: number, dwellS: number) => { l: number; sigma: number };
  /** The colour forecast there, as on the photo. */
  readonly shownAt: (doseJPerMm2: number, dwellS: number) => Lab;
  /** What the fitted profile forecasts for each observation, as on the photo. */
  readonly forecast: readonly Lab[];
  readonly scene: Scene;
}

type ResponseNumber =
  | 'first_mark'
  | 'full_char'
  | 'char_lab'
  | 'warmth_ab'
  | 'lightening_l'
  | 'warmth_scale'
  | 'firing_cost';

/** How well a photo's contrast is known: cameras steepen or flatten it by a few percent. */
const CONTRAST_SIGMA = 0.05;
/** … and bend its logarithm: by so much at a light of 1/e of the bare wood's, by four times that at 1/e². A judgement. */
const BEND_SIGMA = 0.03;
/** A wood's tone goes as the curve of the profile to the power e^±this: its shape is a convention. A judgement. */
const SHAPE_SIGMA = 0.12;
/** How much darker floors look the deeper they lie is a guess by eye; it may be this part more or less. */
const FLOOR_SIGMA = 0.4;
/** Where a wood's tone levels off hangs on the shape of its curve, which is not quite the profile's: known no better than this. A judgement. */
const LEAST_FULL_CHAR_PART = 0.08;
/** Warmth and firings of a patch are means over it, and one number each for all tones: known no better than this. A judgement. */
const LEAST_FIRING_PART = 0.08;
/** A number is determined when the patches alone know it better than this share of what was known before. */
const BETTER = 0.75;
/** Until it is known which numbers the patches determine, all are held by the profile this loosely. */
const LOOSE = 6;

/** Places in the list of unknowns. */
const FIRST = 0;
const SPAN = 1;
const CHAR = 2;
const WARMTH = 5;
const LIGHTENING = 7;
const CONDUCTION = 8;
const BARE = 9;
const CONTRAST = 12;
const BEND = 13;
const SHAPE = 14;
const FLOOR = 15;
const WARM_SCALE = 16;
const FIRING_COST = 17;

/** What does not change while the response is fitted. */
interface Scene {
  /** The profile as it was, its doses told for the machine's own wavelength. */
  readonly base: Material;
  readonly beam: BeamOnWood;
  readonly law: DepthLaw;
  readonly reference: LinearRgb;
}

export function fitResponse(
  observations: readonly Observation[],
  base: Material,
  beam: BeamOnWood,
  bare: BareReference,
): ResponseFit {
  const scene: Scene = { base, beam, law: depthLaw(base, beam), reference: linearOfLab(bare.lab) };
  const residualsOf = (values: readonly number[]): number[] => {
    const wood = woodOf(values, scene);
    const residuals: number[] = [];
    for (const { dose, lab, sigma } of observations) {
      const shown = shownOf(wood, dose);
      for (let c = 0; c < 3; c++) residuals.push((shown[c]! - lab[c]!) / sigma[c]!);
    }
    return residuals;
  };
  const before = knownBefore(base, bare);
  const start = startFrom(observations, before);
  const loose = leastSquares(
    before.map((known, k) => ({
      start: start[k]!,
      scale: known.sigma,
      prior: { ...known, sigma: isHeld(k, observations) ? known.sigma : LOOSE * known.sigma },
    })),
    residualsOf,
  );
  const determined = determinedBy(loose, before, observations);
  const held = (k: number): boolean =>
    isHeld(k, observations) ||
    (Object.keys(PLACES) as ResponseNumber[]).some((name) => PLACES[name].includes(k) && !determined[name]);
  const fit = leastSquares(
    before.map(
      (known, k): Unknown => ({
        start: loose.values[k]!,
        scale: known.sigma,
        prior: held(k) ? known : null,
      }),
    ),
    residualsOf,
  );
  return told(fit, determined, scene, observations);
}

/** Which unknowns each number of the profile rests on. */
const PLACES: Readonly<Record<ResponseNumber, readonly number[]>> = {
  first_mark: [FIRST],
  full_char: [SPAN],
  char_lab: [CHAR, CHAR + 1, CHAR + 2],
  warmth_ab: [WARMTH, WARMTH + 1],
  lightening_l: [LIGHTENING],
  warmth_scale: [WARM_SCALE],
  firing_cost: [FIRING_COST],
};

/**
 * Numbers that are needed but cannot be told from this swatch: held by what was known. Warmth and firings are told by
 * patches burned alone, once and in several passes.
 */
function isHeld(k: number, observations: readonly Observation[]): boolean {
  if (k === WARM_SCALE) return !observations.some(({ dose: { patch } }) => patch.alone);
  if (k === FIRING_COST) return !observations.some(({ dose: { patch } }) => (patch.passes ?? 1) > 1);
  return k >= CONDUCTION;
}

interface Known {
  readonly value: number;
  readonly sigma: number;
}

/** The unknowns as the profile has them, with its uncertainties; wide ones where it states none. */
function knownBefore(base: Material, bare: BareReference): Known[] {
  const { first_mark_j_mm2: first, full_char_j_mm2: full, colour, char_rise_k: rise } = base;
  const relative = (q: { value: number; plus_minus: number | null }, otherwise: number) =>
    Math.max(0.02, (q.plus_minus ?? otherwise * q.value) / q.value);
  const firstSigma = relative(first, 0.5);
  const fullSigma = relative(full, 0.5);
  const charSigma = colour.char_lab.plus_minus ?? 6;
  const warmthSigma = colour.warmth_ab.plus_minus ?? 5;
  // Absorptance divides the conducted heat as the rise multiplies it: one number stands for both.
  const { absorptance } = base.absorption.toSorted(
    (a, b) =>
      Math.abs(a.wavelength_nm - base.marked_with_nm) - Math.abs(b.wavelength_nm - base.marked_with_nm),
  )[0]!;
  return [
    { value: Math.log(first.value), sigma: firstSigma },
    { value: Math.log(full.value / first.value), sigma: Math.hypot(firstSigma, fullSigma) },
    ...colour.char_lab.value.map((value) => ({ value, sigma: Math.max(0.5, charSigma) })),
    ...colour.warmth_ab.value.map((value) => ({ value, sigma: Math.max(0.5, warmthSigma) })),
    { value: colour.lightening_l.value, sigma: Math.max(0.5, colour.lightening_l.plus_minus ?? 2) },
    { value: 0, sigma: Math.hypot(relative(rise, 0.3), relative(absorptance, 0.2)) },
    ...bare.lab.map((value, c) => ({ value, sigma: Math.max(0.1, bare.sigma[c]!) })),
    { value: 1, sigma: CONTRAST_SIGMA },
    { value: 0, sigma: BEND_SIGMA },
    { value: 0, sigma: SHAPE_SIGMA },
    { value: 1, sigma: FLOOR_SIGMA },
    { value: 0, sigma: relative(base.warmth_scale_k, 0.3) },
    { value: 0, sigma: relative(base.firing_cost, 0.3) },
  ];
}

/**
 * Where to begin: char as the darkest patches are; first mark and full char from the doses at which L* has gone
 * 15 % and 85 % of its way. On the profile's curve those are tones 0.12 and 0.63, at 0.26 and 0.73 of the way from
 * first mark to full char on the scale of ln dose.
 */
function startFrom(observations: readonly Observation[], before: readonly Known[]): number[] {
  const start = before.map(({ value }) => value);
  const byDose = observations.toSorted((a, b) => a.dose.meanJPerMm2 - b.dose.meanJPerMm2);
  const darkest = observations.toSorted((a, b) => a.lab[0] - b.lab[0]).slice(0, 3);
  for (let c = 0; c < 3; c++) start[CHAR + c] = darkest.reduce((sum, each) => sum + each.lab[c]! / 3, 0);
  const bareL = start[BARE]!;
  const crossing = (part: number): number | null => {
    const level = bareL + part * (start[CHAR]! - bareL);
    const k = byDose.findIndex(({ lab }) => lab[0] < level);
    if (k < 1) return null;
    return (Math.log(byDose[k]!.dose.meanJPerMm2) + Math.log(byDose[k - 1]!.dose.meanJPerMm2)) / 2;
  };
  const early = crossing(0.15);
  const late = crossing(0.85);
  if (early !== null && late !== null && late > early) {
    const span = (late - early) / (0.73 - 0.26);
    start[SPAN] = Math.max(0.7, span);
    start[FIRST] = early - 0.26 * start[SPAN]!;
  }
  return start;
}

function determinedBy(
  fit: LeastSquares,
  before: readonly Known[],
  observations: readonly Observation[],
): Record<ResponseNumber, boolean> {
  const alone = (k: number): boolean => {
    const information = 1 / sigmaOf(fit, k) ** 2 - 1 / (LOOSE * before[k]!.sigma) ** 2;
    return information > 0 && 1 / Math.sqrt(information) < BETTER * before[k]!.sigma;
  };
  const doses = observations.map(({ dose }) => dose.meanJPerMm2);
  const first = Math.exp(fit.values[FIRST]!);
  const full = first * Math.exp(fit.values[SPAN]!);
  // Doses must lie on both sides of what is told: no curve is trusted beyond its last point.
  const reaches = greatestOf(doses) > 1.1 * full;
  const begins = leastOf(doses) < first;
  return {
    first_mark: begins && PLACES.first_mark.every(alone),
    full_char: reaches && PLACES.full_char.every(alone),
    char_lab: reaches && PLACES.char_lab.every(alone),
    warmth_ab: PLACES.warmth_ab.every(alone),
    lightening_l: reaches && PLACES.lightening_l.every(alone),
    warmth_scale: !isHeld(WARM_SCALE, observations) && alone(WARM_SCALE),
    firing_cost: !isHeld(FIRING_COST, observations) && alone(FIRING_COST),
  };
}

/** Everything a patch's colour on the photo follows from. */
interface Wood {
  readonly material: Material;
  readonly need: Need;
  /** Plain dose at which removal begins, J/mm². */
  readonly removalPlain: number;
  readonly bare: LinearRgb;
  readonly contrast: number;
  readonly bend: number;
  /** The power of the profile's curve that this wood's tone goes as; how much of {@link floorShade} is seen. */
  readonly shape: number;
  readonly floor: number;
  readonly scene: Scene;
}

function woodOf(values: readonly number[], scene: Scene): Wood {
  const { base } = scene;
  const first = Math.exp(values[FIRST]!);
  const bareLab: [number, number, number] = [values[BARE]!, values[BARE + 1]!, values[BARE + 2]!];
  const material: Material = {
    ...base,
    first_mark_j_mm2: { ...base.first_mark_j_mm2, value: first },
    full_char_j_mm2: { ...base.full_char_j_mm2, value: first * Math.exp(Math.max(0.05, values[SPAN]!)) },
    char_rise_k: { ...base.char_rise_k, value: base.char_rise_k.value * Math.exp(values[CONDUCTION]!) },
    warmth_scale_k: {
      ...base.warmth_scale_k,
      value: base.warmth_scale_k.value * Math.exp(values[WARM_SCALE]!),
    },
    firing_cost: { ...base.firing_cost, value: base.firing_cost.value * Math.exp(values[FIRING_COST]!) },
    colour: {
      bare_lab: { ...base.colour.bare_lab, value: bareLab },
      char_lab: { ...base.colour.char_lab, value: [values[CHAR]!, values[CHAR + 1]!, values[CHAR + 2]!] },
      warmth_ab: { ...base.colour.warmth_ab, value: [values[WARMTH]!, values[WARMTH + 1]!] },
      lightening_l: { ...base.colour.lightening_l, value: values[LIGHTENING]! },
    },
  };
  return {
    material,
    need: needOf(material, scene.beam.wavelengthNm),
    removalPlain: plainDoseForTone(CHAR_BEGINS_TONE, material),
    bare: linearOfLab(bareLab),
    contrast: values[CONTRAST]!,
    bend: values[BEND]!,
    shape: Math.exp(values[SHAPE]!),
    floor: values[FLOOR]!,
    scene,
  };
}

/** The light of a place over that of bare wood, before the camera. */
function lightOf(wood: Wood, doseJPerMm2: number, dwellS: number, needTimes = 1): LinearRgb {
  const { material, bare, scene } = wood;
  const need = needTimes * needAt(wood.need, dwellS);
  const tone = toneOfPlainDose(doseJPerMm2 / need, material) ** wood.shape;
  const colour = linearOfLab(labOf(tone, material));
  const depthMm = depthOfExcess(scene.law, doseJPerMm2 - wood.removalPlain * need);
  const shade = 1 - wood.floor * (1 - floorShade(depthMm));
  const seen = (light: number): number => (depthMm > 0 ? linearOf(codedOf(light) * shade) : light);
  return threeOf((c) => seen(colour[c]) / Math.max(1e-4, bare[c]));
}

/** What a patch got, as if one cool firing had brought it: by this its colour lies on the curve, J/mm². */
export const coolDoseOf = ({ meanJPerMm2, firings, warmthK }: PatchDose, wood: Material): number =>
  meanJPerMm2 / firedNeed(firings, warmthK, wood);

/** A patch's own colour; its rows fire each place more than once, and find it warm. */
const shownOf = (wood: Wood, { partsJPerMm2, dwellS, firings, warmthK }: PatchDose): Lab =>
  shownLab(wood, partsJPerMm2, dwellS, firedNeed(firings, warmthK, wood.material));

/** A patch's colour on the photo, the bare wood taken as the reference. */
function shownLab(wood: Wood, partsJPerMm2: readonly number[], dwellS: number, needTimes = 1): Lab {
  const sum = [0, 0, 0];
  for (const dose of partsJPerMm2) {
    const light = lightOf(wood, dose, dwellS, needTimes);
    for (let c = 0; c < 3; c++) sum[c]! += light[c]! / partsJPerMm2.length;
  }
  const { contrast, bend, scene } = wood;
  const seen = (light: number): number => {
    const ln = Math.log(Math.max(1e-5, light));
    return Math.exp(contrast * ln + bend * ln * ln);
  };
  return labOfLinear(threeOf((c) => seen(sum[c]!) * scene.reference[c]));
}

function told(
  fit: LeastSquares,
  determined: Record<ResponseNumber, boolean>,
  scene: Scene,
  observations: readonly Observation[],
): ResponseFit {
  const wood = woodOf(fit.values, scene);
  const { base } = scene;
  const { material } = wood;
  const largest = (places: readonly number[]) => greatestOf(places.map((k) => sigmaOf(fit, k)));
  const firstValue = material.first_mark_j_mm2.value;
  const fullValue = material.full_char_j_mm2.value;
  const { covariance } = fit;
  const fullVariance = covariance[FIRST]![FIRST]! + 2 * covariance[FIRST]![SPAN]! + covariance[SPAN]![SPAN]!;
  const keep = <T>(name: ResponseNumber, was: T, is: T): T => (determined[name] ? is : was);
  return {
    material: {
      ...base,
      first_mark_j_mm2: keep('first_mark', base.first_mark_j_mm2, material.first_mark_j_mm2),
      full_char_j_mm2: keep('full_char', base.full_char_j_mm2, material.full_char_j_mm2),
      warmth_scale_k: keep('warmth_scale', base.warmth_scale_k, material.warmth_scale_k),
      firing_cost: keep('firing_cost', base.firing_cost, material.firing_cost),
      colour: {
        bare_lab: base.colour.bare_lab,
        char_lab: keep('char_lab', base.colour.char_lab, material.colour.char_lab),
        warmth_ab: keep('warmth_ab', base.colour.warmth_ab, material.colour.warmth_ab),
        lightening_l: keep('lightening_l', base.colour.lightening_l, material.colour.lightening_l),
      },
    },
    determined,
    sigma: {
      first_mark: firstValue * Math.hypot(sigmaOf(fit, FIRST), LEAST_DOSE_PART),
      full_char: fullValue * Math.hypot(Math.sqrt(fullVariance), LEAST_FULL_CHAR_PART),
      char_lab: largest(PLACES.char_lab),
      warmth_ab: largest(PLACES.warmth_ab),
      lightening_l: largest(PLACES.lightening_l),
      warmth_scale: material.warmth_scale_k.value * Math.hypot(sigmaOf(fit, WARM_SCALE), LEAST_FIRING_PART),
      firing_cost: material.firing_cost.value * Math.hypot(sigmaOf(fit, FIRING_COST), LEAST_FIRING_PART),
    },
    bare: {
      lab: material.colour.bare_lab.value,
      sigma: [sigmaOf(fit, BARE), sigmaOf(fit, BARE + 1), sigmaOf(fit, BARE + 2)],
    },
    contrast: wood.contrast,
    chiSquarePerFreedom: fit.chiSquarePerFreedom,
    shownAt: (doseJPerMm2, dwellS) => shownLab(wood, [doseJPerMm2], dwellS),
    lightnessAt: (doseJPerMm2, dwellS) => lightnessAt(fit, scene, doseJPerMm2, dwellS),
    forecast: observations.map(({ dose }) => shownOf(wood, dose)),
    scene,
  };
}

/** L* on the photo at a dose; the σ of the wood's own from the covariance, by differences. */
function lightnessAt(
  fit: LeastSquares,
  scene: Scene,
  dose: number,
  dwellS: number,
): { l: number; sigma: number } {
  const own = (values: readonly number[], at = dose): number => {
    const wood = woodOf(values, scene);
    const [r, g, b] = lightOf(wood, at, dwellS);
    return lightnessOfLinear(r * wood.bare[0], g * wood.bare[1], b * wood.bare[2]);
  };
  const here = own(fit.values);
  const slopes = fit.values.map((value, k) => {
    const step = Math.max(1e-4, 0.01 * sigmaOf(fit, k));
    return (own(fit.values.map((each, j) => (j === k ? value + step : each))) - here) / step;
  });
  const fromDose = own(fit.values, dose * (1 + LEAST_DOSE_PART)) - here;
  const variance = slopes.reduce(
    (sum, a, i) => sum + slopes.reduce((inner, b, j) => inner + a * b * fit.covariance[i]![j]!, 0),
    fromDose * fromDose,
  );
  const [l] = shownLab(woodOf(fit.values, scene), [dose], dwellS);
  return { l, sigma: Math.sqrt(Math.max(0, variance)) };
}
