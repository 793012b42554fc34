import {
  between,
  leftOf,
  minus,
  type Placement,
  type Point,
  placeAll,
  plus,
  type Ring,
  ribbon,
  times,
  unit,
} from './geometry.ts';
import { type Leaf, margin, midrib, sideVeins } from './leaf.ts';
import { bow, type Path, polygon, polyline } from './path.ts';
import { type Span, spansAt, together, without } from './scan.ts';

/**
 * The three herbs of the set and the sprig that each marker shows, drawn around the origin in a field of
 * about 22 × 16 mm: some leaves engraved as a surface with their veins left bare, some scored as lines.
 */
export interface Herb {
  readonly name: string;
  readonly sprig: Sprig;
}

interface Sprig {
  readonly filled: readonly Ring[];
  /** Veins left bare in the filled leaves. */
  readonly bare: readonly Ring[];
  readonly scored: readonly Path[];
}

/** A bare vein must be wider than the spot that burns on both sides of it. */
const BARE_MIDRIB_MM = { base: 0.65, tip: 0.3 };
const BARE_VEIN_MM = { base: 0.42, tip: 0.3 };
/** Where a scored midrib begins, clear of the margin. */
const MIDRIB_CLEAR_T = 0.08;

/** Where the sprig is burned on the scan line y = `yMm`. */
export const sprigSpans = ({ filled, bare }: Sprig, yMm: number): Span[] =>
  without(together(...filled.map((ring) => spansAt([ring], yMm, 'nonzero'))), spansAt(bare, yMm, 'nonzero'));

const sprigOf = (...parts: readonly Partial<Sprig>[]): Sprig => ({
  filled: parts.flatMap((part) => part.filled ?? []),
  bare: parts.flatMap((part) => part.bare ?? []),
  scored: parts.flatMap((part) => part.scored ?? []),
});

function filledLeaf(leaf: Leaf, placement: Placement): Partial<Sprig> {
  return {
    filled: [placeAll(margin(leaf), placement)],
    bare: [
      ribbon(midrib(leaf), BARE_MIDRIB_MM.base, BARE_MIDRIB_MM.tip),
      ...sideVeins(leaf).map((vein) => ribbon(vein, BARE_VEIN_MM.base, BARE_VEIN_MM.tip)),
    ].map((ring) => placeAll(ring, placement)),
  };
}

function scoredLeaf(leaf: Leaf, placement: Placement): Partial<Sprig> {
  const lines = [midrib(leaf, MIDRIB_CLEAR_T), ...sideVeins(leaf)];
  return {
    scored: [
      polygon(placeAll(margin(leaf), placement)),
      ...lines.map((line) => polyline(placeAll(line, placement))),
    ],
  };
}

const deg = (degrees: number): number => (degrees * Math.PI) / 180;

const BASIL_LEAF: Leaf = {
  lengthMm: 15,
  widthMm: 9.4,
  base: 0.6,
  tip: 0.95,
  bowMm: 0.7,
  veinPairs: 5,
  teeth: 0,
};
const MINT_LEAF: Leaf = {
  lengthMm: 15,
  widthMm: 8.2,
  base: 0.62,
  tip: 0.85,
  bowMm: 0.5,
  veinPairs: 6,
  teeth: 9,
};
const THYME_LEAF: Leaf = {
  lengthMm: 5,
  widthMm: 2.6,
  base: 0.7,
  tip: 0.8,
  bowMm: 0.15,
  veinPairs: 0,
  teeth: 0,
};

/** One large filled leaf between two small scored ones, on a bowed stem. */
const threeLeaves = (leaf: Leaf): Sprig =>
  sprigOf(
    filledLeaf(leaf, { atMm: [-3, -0.2], turnRad: deg(25) }),
    scoredLeaf(
      { ...leaf, lengthMm: 10.4, widthMm: 6, bowMm: -0.45, veinPairs: 4 },
      { atMm: [-5.8, -2.2], turnRad: deg(109) },
    ),
    scoredLeaf(
      { ...leaf, lengthMm: 8.6, widthMm: 3.8, bowMm: 0.35, veinPairs: 3 },
      { atMm: [-3.8, -3.9], turnRad: deg(-17) },
    ),
    { scored: [bow([-11, -6.9], [-3.5, -0.9], -0.8)] },
  );

/** Pairs of small leaves up a bowed stem, and one at its end. */
function spray(leaf: Leaf, pairs: number): Sprig {
  const [fromMm, toMm]: [Point, Point] = [
    [-10.5, -5.6],
    [5.6, 2.7],
  ];
  const bowMm = 0.9;
  const along = unit(minus(toMm, fromMm));
  const turnRad = Math.atan2(along[1], along[0]);
  const spread = deg(58);
  const gap = times(leftOf(along), 0.55);
  const onStem = (t: number) => plus(between(fromMm, toMm, t), times(leftOf(along), 4 * bowMm * t * (1 - t)));
  const joints = Array.from({ length: pairs }, (_, k) => onStem(0.26 + (0.66 * k) / (pairs - 1)));
  return sprigOf(
    { scored: [bow(fromMm, toMm, bowMm)] },
    ...joints.flatMap((atMm) => [
      filledLeaf(leaf, { atMm: plus(atMm, gap), turnRad: turnRad + spread }),
      filledLeaf(leaf, { atMm: minus(atMm, gap), turnRad: turnRad - spread, mirrored: true }),
    ]),
    filledLeaf(leaf, { atMm: plus(toMm, times(along, 0.6)), turnRad: turnRad - deg(8) }),
  );
}

export const BASIL: Herb = { name: 'Basil', sprig: threeLeaves(BASIL_LEAF) };
export const MINT: Herb = { name: 'Mint', sprig: threeLeaves(MINT_LEAF) };
export const THYME: Herb = { name: 'Thyme', sprig: spray(THYME_LEAF, 4) };
