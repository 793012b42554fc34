import { labOf } from '../../src/burn/colour.ts';
import { depthOf } from '../../src/burn/depth.ts';
import { bandMeanDoseJPerMm2, PEAK_OVER_BAND_MEAN, rasterDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import { needAt, needOf } from '../../src/burn/need.ts';
import { cutSpeedMmPerS } from '../../src/burn/settings-for.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { CHAR_BEGINS_TONE, doseForTone, FULL_CHAR_TONE, toneOf } from '../../src/burn/tone.ts';
import { diode, pineCutter } from './beams.ts';

/**
 * The model against what others have published, as data: the tests assert every row, and a document can
 * print {@link publishedTable}. `published` is a number or a range as printed; `allowed` is what we accept.
 */
interface PublishedCheck {
  readonly what: string;
  readonly source: string;
  readonly published: number | readonly [number, number];
  readonly allowed: readonly [number, number];
  readonly forecast: number;
  readonly unit: string;
  /** Whether constants were set with it in view: then agreement shows consistency, not foresight. */
  readonly setBy: boolean;
}

const wood = (name: string) => shippedMaterials[name]!;

/** Kudela et al. 2019: 45 W, a spot 10 mm wide, these speeds; doses as printed, band mean in J/cm². */
export const LADDER = {
  powerW: 45,
  widthMm: 10,
  rows: [
    { specimen: 'A', speedMmPerS: 58, jPerCm2: 7.8 },
    { specimen: 'B', speedMmPerS: 42, jPerCm2: 10.7 },
    { specimen: 'C', speedMmPerS: 36, jPerCm2: 12.5 },
    { specimen: 'D', speedMmPerS: 30, jPerCm2: 15 },
    { specimen: 'E', speedMmPerS: 24, jPerCm2: 18.8 },
    // Printed 25.5; 45 W over 18 mm/s and 10 mm is 25.0, as the companion paper's abstract has it.
    { specimen: 'F', speedMmPerS: 18, jPerCm2: 25 },
    { specimen: 'G', speedMmPerS: 12, jPerCm2: 37.5 },
    { specimen: 'H', speedMmPerS: 6, jPerCm2: 75 },
  ],
} as const;

/** Tone of beech on the ladder; the band mean is told as what falls on the centre of a disc or a Gaussian. */
export function ladderTone(speedMmPerS: number, reading: 'uniform-ellipse' | 'gaussian'): number {
  const bandMean = bandMeanDoseJPerMm2(LADDER.powerW, speedMmPerS, LADDER.widthMm);
  const dwellS = LADDER.widthMm / speedMmPerS;
  return toneOf(bandMean * PEAK_OVER_BAND_MEAN[reading], dwellS, wood('beech'), 10600);
}

/** The band mean, J/cm², at which carbonisation begins along the ladder. */
function ladderOnset(reading: 'uniform-ellipse' | 'gaussian'): number {
  let slow = 1;
  let fast = 1000;
  for (let k = 0; k < 60; k++) {
    const speed = Math.sqrt(slow * fast);
    if (ladderTone(speed, reading) > CHAR_BEGINS_TONE) slow = speed;
    else fast = speed;
  }
  return 100 * bandMeanDoseJPerMm2(LADDER.powerW, slow, LADDER.widthMm);
}

/**
 * Broadband light: half of it absorbed (assumed), as near the surface as mid-infrared, because what a pulse
 * of seconds finds is soon brown.
 */
function broadband(name: string) {
  const material = wood(name);
  const ir = material.absorption.at(-1)!;
  return {
    ...material,
    absorption: [
      ...material.absorption,
      { ...ir, wavelength_nm: 20_000, absorptance: { ...ir.absorptance, value: 0.5 } },
    ],
  };
}
const BROADBAND_NM = 20_000;

const charJPerCm2 = (name: string) => 100 * doseForTone(CHAR_BEGINS_TONE, 1, broadband(name), BROADBAND_NM);

function dwellPower(name: string): number {
  const need = needOf(broadband(name), BROADBAND_NM);
  return Math.log(needAt(need, 3.2) / needAt(need, 0.2)) / Math.log(3.2 / 0.2);
}

/** How far L* falls from bare to the darkest tone. */
const darkening = (name: string) => labOf(FULL_CHAR_TONE, wood(name))[0] - labOf(0, wood(name))[0];

const pineMmPerS = (thicknessMm: number) => cutSpeedMmPerS(240, thicknessMm, wood('spruce'), pineCutter());

function within(value: number, fraction: number): readonly [number, number] {
  return [value * (1 - fraction), value * (1 + fraction)];
}

export function publishedChecks(): PublishedCheck[] {
  const pine = 'McMillin & Harry 1971, Forest Products Journal 21(10), 35';
  const ladder = 'Kudela et al. 2019, Acta Facultatis Xylologiae Zvolen 61(1), 5';
  const kubovsky = 'Kubovsky et al. 2018, BioResources 13(2), 2515';
  const glasstone = 'Glasstone & Dolan 1977, The Effects of Nuclear Weapons';
  const practice = 'common practice, no source';
  const engraved = (powerW: number, mmPerMin: number) => rasterDoseJPerMm2(powerW, mmPerMin / 60, 0.1);
  return [
    ...[
      { thicknessMm: 6.35, published: 41.95 },
      { thicknessMm: 25.4, published: 6.181 },
    ].map(({ thicknessMm, published }) => ({
      what: `top cutting speed of softwood, ${thicknessMm} mm, 240 W at 10.6 µm`,
      source: pine,
      published,
      allowed: within(published, 0.3),
      forecast: pineMmPerS(thicknessMm),
      unit: 'mm/s',
      setBy: true,
    })),
    {
      what: 'exponent of cutting speed over thickness, 6 to 25 mm',
      source: pine,
      published: 1.38,
      allowed: [1.2, 1.5],
      forecast: Math.log(pineMmPerS(6.35) / pineMmPerS(25.4)) / Math.log(4),
      unit: '',
      setBy: true,
    },
    ...['poplar plywood', 'basswood', 'spruce'].map((name) => ({
      what: `removal energy, ${name}`,
      source: 'Parnicanova 2024; Butler 1971; Thomas, Simms & Law 1967; McMillin & Harry 1971',
      published: [2.2, 2.9] as const,
      allowed: [2.2, 2.9] as const,
      forecast: wood(name).removal_j_mm3.value,
      unit: 'J/mm³',
      setBy: true,
    })),
    {
      what: 'first carbonisation of beech, 10.6 µm, 0.2 to 1.7 s, band mean, spot a uniform disc',
      source: ladder,
      published: [20, 25],
      allowed: [20, 25],
      forecast: ladderOnset('uniform-ellipse'),
      unit: 'J/cm²',
      setBy: true,
    },
    {
      what: 'the same, spot a Gaussian (the paper does not say)',
      source: ladder,
      published: [20, 25],
      allowed: [15, 37.5],
      forecast: ladderOnset('gaussian'),
      unit: 'J/cm²',
      setBy: true,
    },
    ...['spruce', 'birch plywood', 'beech'].map((name) => ({
      what: `visible charring, 1 s of broadband light, ${name}`,
      source: `${glasstone}, 7.38 (pine, Douglas-fir, redwood, maple)`,
      published: [41.8, 62.8] as const,
      allowed: [41.8, 62.8] as const,
      forecast: charJPerCm2(name),
      unit: 'J/cm²',
      setBy: true,
    })),
    ...['spruce', 'beech'].map((name) => ({
      what: `exponent of needed dose over dwell, 0.2 to 3.2 s, ${name}`,
      source: `${glasstone}, Table 7.40 (Douglas-fir plywood)`,
      published: 0.29,
      allowed: [0.2, 0.4] as const,
      forecast: dwellPower(name),
      unit: '',
      setBy: true,
    })),
    ...[
      { name: 'beech', of: 'beech', published: -46.8 },
      { name: 'basswood', of: 'lime', published: -50.5 },
      { name: 'birch plywood', of: 'maple (no profile; birch stands in)', published: -56 },
    ].map(({ name, of, published }) => ({
      what: `fall of L* to the darkest, ${of}`,
      source: kubovsky,
      published,
      allowed: [published - 8, published + 8] as const,
      forecast: darkening(name),
      unit: 'L*',
      setBy: true,
    })),
    ...[0.1, 0.2].map((widthMm) => ({
      what: `depth at 2.0 J/mm² area dose, 1800 mm/min, poplar plywood, spot ${widthMm} mm`,
      source: practice,
      published: [0.6, 0.9] as const,
      allowed: [0.5, 0.9] as const,
      forecast: depthOf(2, widthMm / 30, wood('poplar plywood'), diode([widthMm, widthMm])),
      unit: 'mm',
      setBy: true,
    })),
    ...[0.1, 0.2].map((widthMm) => ({
      what: `one-pass limit, 8 mm softwood, 20 W, spot ${widthMm} mm`,
      source: practice,
      published: [50, 400] as const,
      allowed: [50, 400] as const,
      forecast: 60 * cutSpeedMmPerS(20, 8, wood('spruce'), diode([widthMm, widthMm])),
      unit: 'mm/min',
      setBy: false,
    })),
    ...[
      { powerW: 5, mmPerMin: 3000 },
      { powerW: 10, mmPerMin: 2000 },
    ].map(({ powerW, mmPerMin }) => ({
      what: `tone, ${powerW} W at ${mmPerMin} mm/min, rows 0.1 mm apart, poplar plywood (brown to dark)`,
      source: practice,
      published: [CHAR_BEGINS_TONE, 1] as const,
      allowed: [CHAR_BEGINS_TONE, 1] as const,
      forecast: toneOf(engraved(powerW, mmPerMin), 0.1 / (mmPerMin / 60), wood('poplar plywood')),
      unit: 'tone',
      setBy: true,
    })),
    ...[0.2, 0.3, 0.4].map((dose) => ({
      what: `tone, light raster of ${dose} J/mm² at 6000 mm/min, poplar plywood (tan)`,
      source: practice,
      published: [0.05, CHAR_BEGINS_TONE] as const,
      allowed: [0.05, CHAR_BEGINS_TONE] as const,
      forecast: toneOf(dose, 0.001, wood('poplar plywood')),
      unit: 'tone',
      setBy: true,
    })),
  ];
}

/** `+12 %` from a published number; `inside`, or how far outside, of a published range. */
export function errorWords({ published, forecast }: PublishedCheck): string {
  const percent = (from: number) =>
    `${forecast >= from ? '+' : ''}${Math.round((100 * (forecast - from)) / Math.abs(from))} %`;
  if (typeof published === 'number') return percent(published);
  const [low, high] = published;
  if (forecast >= low && forecast <= high) return 'inside';
  return `${percent(forecast < low ? low : high)} outside`;
}

/** The checks as a Markdown table. */
export function publishedTable(checks: readonly PublishedCheck[] = publishedChecks()): string {
  const number = (value: number) => String(Number(value.toPrecision(3)));
  const rows = checks.map((check) => {
    const published = [check.published].flat().map(number).join(' to ');
    return `| ${check.what} | ${published} ${check.unit} | ${number(check.forecast)} ${check.unit} | ${errorWords(check)} | ${check.setBy ? 'yes' : 'no'} | ${check.source} |`;
  });
  return [
    '| what | published | Charcast | error | used to set constants | source |',
    '|---|---|---|---|---|---|',
    ...rows,
  ]
    .join('\n')
    .replace(/ +\|/g, ' |');
}
