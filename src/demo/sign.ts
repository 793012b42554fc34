import {
  between,
  leftOf,
  lengthOf,
  minus,
  type Placement,
  type Point,
  placeAll,
  plus,
  times,
  unit,
} from './geometry.ts';
import { type Leaf, margin, midrib } from './leaf.ts';
import { type Font, lettering } from './lettering.ts';
import { bow, circle, notch, outline, type Path, polygon, polyline, round, shifted } from './path.ts';
import type { Piece } from './piece.ts';
import { type Row, rowHeights, shadedRuns } from './raster.ts';
import { shadedLeaf } from './relief.ts';
import { moved, spansAt, together } from './scan.ts';

/**
 * A sign, 120 × 70 mm, to screw to a raised bed: a shaded leaf, the words "Herb garden", a border of small
 * leaves along a stem, two screw holes. Measured from its lower left corner.
 */
const SIGN_MM = { width: 120, height: 70 };

const WORDS = [
  { text: 'Herb', atMm: [54, 38] },
  { text: 'garden', atMm: [54, 20.5] },
] as const;
const CAP_HEIGHT_MM = 11;

const BIG_LEAF: Leaf = {
  lengthMm: 45,
  widthMm: 28,
  base: 0.58,
  tip: 1.05,
  bowMm: 2.2,
  veinPairs: 7,
  teeth: 0,
};
const BIG_LEAF_AT: Placement = { atMm: [20.5, 15], turnRad: (56 * Math.PI) / 180 };

const STALK: Path = bow([16.2, 12], [20.1, 14.6], -0.5);

const STEM_INSET_MM = 7;
const STEM_NOTCH_MM = 5;
const HOLE_DIAMETER_MM = 4;

const BORDER_LEAF: Leaf = {
  lengthMm: 4.6,
  widthMm: 2.2,
  base: 0.7,
  tip: 0.85,
  bowMm: 0.2,
  veinPairs: 0,
  teeth: 0,
};
const BORDER_LEAF_SPACING_MM = 4.5;
const BORDER_LEAF_TURN_RAD = (38 * Math.PI) / 180;
/** How far a leaf reaches along the stem. */
const BORDER_REACH_MM = BORDER_LEAF.lengthMm * Math.cos(BORDER_LEAF_TURN_RAD);
/** Between the stem and a leaf, and between the last leaf and the notch. */
const BORDER_GAP_MM = 0.4;
const BORDER_END_CLEAR_MM = 1.5;

/** The corners of the rectangle the stem follows, counter-clockwise from the lower left. */
const STEM_CORNERS: readonly Point[] = [
  [STEM_INSET_MM, STEM_INSET_MM],
  [SIGN_MM.width - STEM_INSET_MM, STEM_INSET_MM],
  [SIGN_MM.width - STEM_INSET_MM, SIGN_MM.height - STEM_INSET_MM],
  [STEM_INSET_MM, SIGN_MM.height - STEM_INSET_MM],
];

/** Everything but the shaded leaf, with the sign's lower left corner at `atMm`. */
export function sign(font: Font, atMm: Point): Piece {
  const words = WORDS.map((word) => ({
    rings: lettering(font, word.text, CAP_HEIGHT_MM).rings,
    at: plus(atMm, word.atMm),
  }));
  return {
    rowsFromMm: atMm[1],
    rowsToMm: atMm[1] + SIGN_MM.height,
    engravedAt: (yMm) =>
      together(...words.map(({ rings, at }) => moved(spansAt(rings, yMm - at[1], 'nonzero'), at[0]))),
    scored: [...border(), STALK].map((path) => shifted(path, atMm)),
    holes: STEM_CORNERS.slice(2).map((corner) => circle(plus(atMm, corner), HOLE_DIAMETER_MM)),
    outline: shifted(
      outline([
        round(0, 0, 6),
        round(SIGN_MM.width, 0, 6),
        round(SIGN_MM.width, SIGN_MM.height, 6),
        round(0, SIGN_MM.height, 6),
      ]),
      atMm,
    ),
  };
}

export interface PictureSettings {
  readonly rowSpacingMm: number;
  readonly pixelMm: number;
  /** S where the picture is lightest and darkest, and the step between two shades. */
  readonly sLightest: number;
  readonly sDarkest: number;
  readonly sStep: number;
}

/** The shaded leaf as raster rows. */
export function leafPicture(atMm: Point, settings: PictureSettings): Row[] {
  const { rowSpacingMm, pixelMm, sLightest, sDarkest, sStep } = settings;
  const placement = { ...BIG_LEAF_AT, atMm: plus(atMm, BIG_LEAF_AT.atMm) };
  const ring = placeAll(margin(BIG_LEAF), placement);
  const ys = ring.map(([, y]) => y);
  const tone = shadedLeaf(BIG_LEAF, placement);
  const s = (point: Point) => Math.round((sLightest + (sDarkest - sLightest) * tone(point)) / sStep) * sStep;
  return rowHeights(Math.min(...ys), Math.max(...ys), rowSpacingMm).map((yMm) => ({
    yMm,
    runs: shadedRuns(spansAt([ring], yMm, 'nonzero'), pixelMm, (xMm) => s([xMm, yMm])),
  }));
}

/** The stem, and leaves on alternating sides along its four straight runs. */
function border(): Path[] {
  const stem = outline(STEM_CORNERS.map(([x, y]) => notch(x, y, STEM_NOTCH_MM)));
  const leaves = STEM_CORNERS.flatMap((corner, k) => leavesAlong(corner, STEM_CORNERS[(k + 1) % 4]!));
  return [stem, ...leaves];
}

function leavesAlong(fromMm: Point, toMm: Point): Path[] {
  const way = minus(toMm, fromMm);
  const along = unit(way);
  const turnRad = Math.atan2(along[1], along[0]);
  const roomMm = lengthOf(way) - 2 * (STEM_NOTCH_MM + BORDER_END_CLEAR_MM) - BORDER_REACH_MM;
  const count = Math.floor(roomMm / BORDER_LEAF_SPACING_MM) + 1;
  const firstMm = (lengthOf(way) - (count - 1) * BORDER_LEAF_SPACING_MM - BORDER_REACH_MM) / 2;
  return Array.from({ length: count }, (_, k) => {
    const side = k % 2 === 0 ? 1 : -1;
    const onStem = between(fromMm, toMm, (firstMm + k * BORDER_LEAF_SPACING_MM) / lengthOf(way));
    const placement = {
      atMm: plus(onStem, times(leftOf(along), side * BORDER_GAP_MM)),
      turnRad: turnRad + side * BORDER_LEAF_TURN_RAD,
      mirrored: side < 0,
    };
    return [
      polygon(placeAll(margin(BORDER_LEAF), placement)),
      polyline(placeAll(midrib(BORDER_LEAF, 0.2), placement)),
    ];
  }).flat();
}
