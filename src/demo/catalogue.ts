/**
 * What the demo holds: a herb-garden set in 4 mm poplar plywood, and the two gantries it is burned on. All of
 * it is invented for the demo, in the sizes and speeds a person would use.
 *
 * The bench gantry is small and slow: belts, 5 W, soft in the corners. The workshop gantry is stiff and
 * fast, 12 W. Both have combined emitters and so an oblong spot. Its Rayleigh length follows from
 * z_R = π w₀² / (M² λ) with w₀ half the mean width and M² near 14 and 8, as such emitters have (value from
 * memory).
 */

export type DemoMachineName = 'bench-gantry' | 'workshop-gantry';
export type DemoJobName = 'marker' | 'marker-careful' | 'marker-set' | 'sign';

/** The board, and where its lower left corner lies in the machine's coordinates. */
export interface DemoStock {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly thicknessMm: number;
  readonly xMm: number;
  readonly yMm: number;
}

export interface DemoEntry {
  readonly name: DemoJobName;
  readonly title: string;
  /** What it is and what to look for, in one or two sentences. */
  readonly about: string;
  readonly machine: DemoMachineName;
  readonly material: 'poplar plywood';
  readonly stock: DemoStock;
}

/** The board's margin around the pieces. */
export const MARGIN_MM = 5;

const board = (widthMm: number, heightMm: number): DemoStock => ({
  widthMm,
  heightMm,
  thicknessMm: 4,
  xMm: 0,
  yMm: 0,
});

export const MARKER_ENTRY: DemoEntry = {
  name: 'marker',
  title: 'Basil marker, first try',
  about:
    'A plant marker as a beginner would set it up: constant power, no room to turn at the ends of the rows, and ' +
    'cut settings handed on from a stronger machine.',
  machine: 'bench-gantry',
  material: 'poplar plywood',
  stock: board(130, 32),
};

export const CAREFUL_ENTRY: DemoEntry = {
  name: 'marker-careful',
  title: 'Basil marker, done with care',
  about:
    'The same marker on the same machine: proportional power, overscan at the ends of the rows, and passes enough ' +
    'to cut it free.',
  machine: 'bench-gantry',
  material: 'poplar plywood',
  stock: board(130, 32),
};

export const SET_ENTRY: DemoEntry = {
  name: 'marker-set',
  title: 'Basil, thyme and mint on one board',
  about:
    'Three markers for a faster machine, all engraved first; their holes are cut before they are cut free.',
  machine: 'workshop-gantry',
  material: 'poplar plywood',
  stock: board(130, 82),
};

export const SIGN_ENTRY: DemoEntry = {
  name: 'sign',
  title: 'Herb garden sign',
  about:
    'A leaf in shades, burned pixel by pixel with S following the picture, with lettering and a leaf border.',
  machine: 'workshop-gantry',
  material: 'poplar plywood',
  stock: board(130, 80),
};

export const catalogue: readonly DemoEntry[] = [MARKER_ENTRY, CAREFUL_ENTRY, SET_ENTRY, SIGN_ENTRY];
