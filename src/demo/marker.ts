import { type Point, plus } from './geometry.ts';
import { type Herb, sprigSpans } from './herbs.ts';
import { type Font, lettering } from './lettering.ts';
import { circle, notch, outline, type Path, round, sharp, shifted } from './path.ts';
import type { Piece } from './piece.ts';
import { moved, spansAt, together } from './scan.ts';

/**
 * A plant marker, 120 × 22 mm: a head with a sprig and the herb's name inside a scored frame, and a stake
 * that runs out to a point. Measured from the lower left corner of its bounding rectangle.
 */
export const MARKER_MM = { width: 120, height: 22 };

const HALF_HEIGHT_MM = MARKER_MM.height / 2;
const CAP_HEIGHT_MM = 10;
const SPRIG_AT_MM: Point = [15.5, HALF_HEIGHT_MM];
/** The name is centred between the sprig and the frame's right side. */
const NAME_BETWEEN_MM = [29, 73.5] as const;
/** Names with a descender look right a little above the middle. */
const BASELINE_MM = (MARKER_MM.height - CAP_HEIGHT_MM) / 2 + 0.6;
/** Between the frame and the stake. */
const HOLE = { atMm: [81.5, HALF_HEIGHT_MM] as Point, diameterMm: 3.5 };

const OUTLINE: Path = outline([
  round(0, 0, 3),
  round(80, 0, 5),
  round(86, 6.5, 5),
  round(108, 6.5, 8),
  sharp(120, HALF_HEIGHT_MM),
  round(108, 15.5, 8),
  round(86, 15.5, 5),
  round(80, 22, 5),
  round(0, 22, 3),
]);

const FRAME: Path = outline([notch(1.8, 1.8, 2), notch(77, 1.8, 2), notch(77, 20.2, 2), notch(1.8, 20.2, 2)]);

/** The marker of a herb with its lower left corner at `atMm`, with or without a hole to hang it by. */
export function marker(
  font: Font,
  { name, sprig }: Herb,
  atMm: Point,
  hole: 'plain' | 'hole' = 'plain',
): Piece {
  const [leftMm, rightMm] = NAME_BETWEEN_MM;
  const letters = lettering(font, name, CAP_HEIGHT_MM);
  const nameAt = plus(atMm, [leftMm + (rightMm - leftMm - letters.widthMm) / 2, BASELINE_MM]);
  const sprigAt = plus(atMm, SPRIG_AT_MM);
  return {
    rowsFromMm: atMm[1],
    rowsToMm: atMm[1] + MARKER_MM.height,
    engravedAt: (yMm) =>
      together(
        moved(sprigSpans(sprig, yMm - sprigAt[1]), sprigAt[0]),
        moved(spansAt(letters.rings, yMm - nameAt[1], 'nonzero'), nameAt[0]),
      ),
    scored: [...sprig.scored.map((path) => shifted(path, sprigAt)), shifted(FRAME, atMm)],
    holes: hole === 'hole' ? [circle(plus(atMm, HOLE.atMm), HOLE.diameterMm)] : [],
    outline: shifted(OUTLINE, atMm),
  };
}
