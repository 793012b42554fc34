import type { Stock } from '../../src/board.ts';
import type { Burn } from '../../src/burn/burn.ts';
import { burnDose } from '../../src/burn/burn-dose.ts';
import { labOf } from '../../src/burn/colour.ts';
import { depthOf } from '../../src/burn/depth.ts';
import type { Firings } from '../../src/burn/firing.ts';
import type { Lab, Material } from '../../src/burn/material.ts';
import type { Dose } from '../../src/dose/dose.ts';
import { burnOfProgram, readOptions } from '../../src/forecast.ts';
import { linearOfLab } from '../../src/photo/colour-space.ts';
import { homographyOf, mapped } from '../../src/photo/homography.ts';
import type { Photo, PhotoPoint } from '../../src/photo/photo.ts';
import { readProgram } from '../../src/program/read.ts';
import { makeSwatch } from '../../src/swatch/make.ts';
import { replaySwatch, type SwatchDoses } from '../../src/swatch/replay.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { machineWith } from '../support/machines.ts';
import { type Camera, gaussian, PAPER_DEEP_MM, PAPER_GAP_MM, photograph } from './photograph.ts';
import { poplar } from './woods.ts';

/** A swatch, burned once as far as the machine goes; any wood may then be put under it. */
export interface Scene {
  readonly swatch: Swatch;
  readonly stock: Stock;
  readonly gcode: string;
  /** Of the whole board, from the forecast's own road. */
  readonly dose: Dose;
  /** How often and how warm it was fired. */
  readonly firings: Firings;
  /** As the fit sees it. */
  readonly doses: SwatchDoses;
}

export const base: Material = poplar;

const sceneMachine = machineWith({
  name: 'swatch test gantry',
  max_speed_mm_s: [120, 120, 10],
  acceleration_mm_s2: [600, 450, 50],
  lookahead_moves: 16,
  laser: { optical_power_w: 8, power_levels: 255, threshold_fraction: 0.03, rise_time_ms: 0.05 },
  spot: { width_mm: [0.18, 0.24], rayleigh_mm: 3 },
});

/** Scenes that have been burned: test files of one process share them, and nobody writes into them. */
const burnedScenes = new Map<string, Scene>();

/** @param cellMm goes into the board's sides an even number of times: the picture's pixels are two cells wide. */
export function sceneOf(
  widthMm: number,
  heightMm: number,
  cellMm: number,
  atMm: readonly [number, number] = [0, 0],
): Scene {
  const key = [widthMm, heightMm, cellMm, ...atMm].join(' ');
  const scene = burnedScenes.get(key) ?? burnScene(widthMm, heightMm, cellMm, atMm);
  burnedScenes.set(key, scene);
  return scene;
}

function burnScene(
  widthMm: number,
  heightMm: number,
  cellMm: number,
  atMm: readonly [number, number],
): Scene {
  const stock = { widthMm, heightMm, thicknessMm: 3, xMm: atMm[0], yMm: atMm[1] };
  const { swatch, gcode } = makeSwatch(sceneMachine, stock);
  return burnedScene(swatch, gcode, stock, cellMm);
}

/** The scene of a swatch whose job is `gcode`, by the forecast's own road: no trouble is looked for. */
export function burnedScene(swatch: Swatch, gcode: string, stock: Stock, cellMm: number): Scene {
  const { machine } = swatch;
  const program = readProgram(gcode, readOptions(machine));
  const { dose, firings } = burnOfProgram(program, { machine, material: base, options: { stock, cellMm } });
  let doses: SwatchDoses | null = null;
  return {
    swatch,
    stock,
    gcode,
    dose,
    firings: firings!,
    // Who only reads photos does not ask for them.
    get doses() {
      doses ??= replaySwatch(swatch, poplar);
      return doses;
    },
  };
}

const beamOf = ({ machine }: Swatch) => ({
  spot: machine.spot,
  wavelengthNm: machine.laser.wavelength_nm,
});

/** Cuts that go through this wood: where the depth law reaches the board's underside. */
export const cutsThrough = ({ swatch, doses, stock }: Scene, material: Material): number[] =>
  doses.cuts
    .filter(
      ({ cut: { passes }, peakJPerMm2, dwellS }) =>
        depthOf(peakJPerMm2 / passes, dwellS, material, beamOf(swatch), passes) >= stock.thicknessMm!,
    )
    .map(({ cut }) => cut.n);

/** The wood that was burned last: the same board is often photographed many times in a row. */
let last: { scene: Scene; material: Material; burn: Burn } | null = null;

function burnOf(scene: Scene, material: Material): Burn {
  if (last?.scene === scene && last.material === material) return last.burn;
  const burn = burnDose(scene.dose, material, {
    ...beamOf(scene.swatch),
    thicknessMm: scene.stock.thicknessMm,
    firings: scene.firings,
  });
  last = { scene, material, burn };
  return burn;
}

export const photoOf = (scene: Scene, material: Material, camera: Camera, random: () => number): Photo =>
  photograph(burnOf(scene, material), material, scene.swatch, camera, random);

/**
 * A wood drawn at random. First mark, full char, char colour, warmth, lightening and removal range over what light
 * and dark, soft and hard woods may plausibly do; what a swatch cannot tell (surface rise, wall loss, moisture,
 * bare colour without paper) is drawn as far off as the profile's own ± says.
 */
export function randomWood(random: () => number): Material {
  const normal = gaussian(random);
  const between = (low: number, high: number) => low + (high - low) * random();
  const about = (q: { value: number; plus_minus: number | null }) => q.value + q.plus_minus! * normal();
  const first = 0.075 * (0.24 / 0.075) ** random();
  const span = between(1.6, 2.5);
  const bare = base.colour.bare_lab;
  const lightening = between(0, 5);
  return {
    ...base,
    name: 'a wood of chance',
    first_mark_j_mm2: { ...base.first_mark_j_mm2, value: first },
    full_char_j_mm2: { ...base.full_char_j_mm2, value: Math.min(2.2, first * Math.exp(span)) },
    char_rise_k: { ...base.char_rise_k, value: Math.max(400, about(base.char_rise_k)) },
    warmth_scale_k: { ...base.warmth_scale_k, value: Math.max(250, about(base.warmth_scale_k)) },
    firing_cost: { ...base.firing_cost, value: Math.max(0.08, about(base.firing_cost)) },
    removal_j_mm3: { ...base.removal_j_mm3, value: between(1.4, 3.8) },
    wall_loss: { ...base.wall_loss, value: Math.max(0, about(base.wall_loss)) },
    moisture_percent: { ...base.moisture_percent, value: Math.max(2, about(base.moisture_percent)) },
    colour: {
      bare_lab: {
        ...bare,
        value: bare.value.map((each) => each + bare.plus_minus! * Math.max(-2, Math.min(2, normal()))) as [
          number,
          number,
          number,
        ],
      },
      char_lab: { ...base.colour.char_lab, value: [between(20, 34), between(0, 5), between(1, 8)] },
      warmth_ab: { ...base.colour.warmth_ab, value: [between(4, 12), between(7, 17)] },
      lightening_l: { ...base.colour.lightening_l, value: lightening },
    },
  };
}

/** The linear light of white paper, as the fit takes it but for a sheet's own tint. */
const paperOf = (random: () => number): [number, number, number] => {
  const normal = gaussian(random);
  const lab: Lab = [94 + 1.5 * normal(), 1 * normal(), 1.5 * normal()];
  return [...linearOfLab(lab)] as [number, number, number];
};

/** The linear light of bare wood, which cameras are exposed for. */
const bareLightOf = (material: Material): readonly number[] => linearOfLab(labOf(0, material));

/** A hand-held camera at random over a board of this scene. */
export function randomCamera(
  { stock }: Pick<Scene, 'stock'>,
  material: Material,
  random: () => number,
  { widthPx = 800, heightPx = 560, paper = false } = {},
): Camera {
  const normal = gaussian(random);
  const between = (low: number, high: number) => low + (high - low) * random();
  const fill = between(0.8, 0.88);
  const boardWidth = fill * Math.min(widthPx, (0.86 * heightPx * stock.widthMm) / stock.heightMm);
  const boardHeight = (boardWidth * stock.heightMm) / stock.widthMm;
  const turn = between(-0.06, 0.06);
  const slant = () => between(-0.035, 0.035) * boardWidth;
  const corner = (u: number, v: number): PhotoPoint => {
    const x = (u * boardWidth) / 2;
    const y = (-v * boardHeight) / 2;
    return [
      widthPx / 2 + x * Math.cos(turn) - y * Math.sin(turn) + slant(),
      heightPx * 0.47 + x * Math.sin(turn) + y * Math.cos(turn) + slant(),
    ];
  };
  // Paper is lighter than wood: who wants it on the photo exposes for it.
  const exposure = (paper ? 0.8 : 1) * between(0.7, 0.95) * (0.6 / bareLightOf(material)[1]!);
  const gain = [exposure * between(0.93, 1.07), exposure, exposure * between(0.9, 1.1)] as const;
  return {
    widthPx,
    heightPx,
    corners: [corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)],
    blurPx: between(0.5, 1),
    light: [
      between(-0.2, 0.2),
      between(-0.15, 0.15),
      between(-0.12, 0.02),
      between(-0.1, 0.02),
      between(-0.05, 0.05),
    ],
    gain,
    contrast: 1 + 0.05 * Math.max(-2, Math.min(2, normal())),
    noise: between(0.006, 0.018),
    quality: Math.round(between(82, 95)),
    table: [between(0.03, 0.15), between(0.03, 0.12), between(0.02, 0.1)],
    paper: paper ? paperOf(random) : null,
  };
}

/** The middle of the paper strip on the photo. */
export function paperPlace({ stock }: Scene, camera: Camera): PhotoPoint {
  const { widthMm, heightMm } = stock;
  const map = homographyOf(
    [
      [0, 0],
      [widthMm, 0],
      [widthMm, heightMm],
      [0, heightMm],
    ],
    camera.corners,
  )!;
  return mapped(map, [widthMm / 2, -PAPER_GAP_MM - PAPER_DEEP_MM / 2]);
}
