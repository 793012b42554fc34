import { gcode } from '../../src/demo/gcode.ts';
import { BASIL, sprigSpans } from '../../src/demo/herbs.ts';
import { burnPath, notch, outline, polyline, sharp } from '../../src/demo/path.ts';
import { operation } from '../../src/demo/piece.ts';
import { burnRows, evenRuns, rowHeights } from '../../src/demo/raster.ts';
import { moved } from '../../src/demo/scan.ts';

/**
 * The little jobs of the experiments, written by the demo's own generator: a label's outline, a sprig, a few
 * lines. Each is small enough to be forecast while a number is being dragged.
 */

export type Mode = 'constant' | 'proportional';
const mmPerMin = (mmPerS: number) => mmPerS * 60;

/** A label for a seed tray, 34 × 14 mm: notched at one end, pointed at the other. */
export const label = (s: number, speedMmPerMin: number, mode: Mode): string =>
  gcode(
    ['A seed label, its outline scored'],
    operation(
      'Score',
      mode,
      burnPath(outline([notch(2, 2, 2.5), sharp(26, 2), sharp(36, 9), sharp(26, 16), notch(2, 16, 2.5)]), {
        s,
        feedMmPerMin: speedMmPerMin,
        passes: 1,
      }),
    ),
  );

/** The basil sprig's leaves in rows. */
export const sprig = (s: number, speedMmPerMin: number, mode: Mode, overscanMm: number): string =>
  gcode(
    ['A basil sprig in rows'],
    operation(
      'Engrave',
      mode,
      burnRows(
        rowHeights(-8, 8, 0.1).map((yMm) => ({
          yMm: yMm + 4,
          runs: evenRuns(moved(sprigSpans(BASIL.sprig, yMm), 6.4), s),
        })),
        { feedMmPerMin: speedMmPerMin, overscanMm },
      ),
    ),
  );

/** The head runs on so far beyond a patch, mm. */
export const PATCH_OVERSCAN_MM = 4;

interface PatchRows {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly s: number;
  readonly speedMmPerMin: number;
  readonly rowSpacingMm: number;
  readonly leftMm: number;
}
const patchRows = ({ widthMm, heightMm, s, speedMmPerMin, rowSpacingMm, leftMm }: PatchRows) =>
  operation(
    'Engrave',
    'proportional',
    burnRows(
      rowHeights(2, 2 + heightMm, rowSpacingMm).map((yMm) => ({
        yMm,
        runs: [{ fromMm: leftMm, toMm: leftMm + widthMm, s }],
      })),
      { feedMmPerMin: speedMmPerMin, overscanMm: PATCH_OVERSCAN_MM },
    ),
  );

/** A filled rectangle in rows, with room to turn. */
export const patch = (
  widthMm: number,
  heightMm: number,
  s: number,
  speedMmPerMin: number,
  rowSpacingMm: number,
): string =>
  gcode(['A patch in rows'], patchRows({ widthMm, heightMm, s, speedMmPerMin, rowSpacingMm, leftMm: 2 }));

/** Two such rectangles of one height, the second after the first. */
export const patches = (
  first: Pick<PatchRows, 'widthMm' | 's' | 'leftMm'>,
  second: Pick<PatchRows, 'widthMm' | 's' | 'leftMm'>,
  both: Pick<PatchRows, 'heightMm' | 'speedMmPerMin' | 'rowSpacingMm'>,
): string =>
  gcode(['Two patches in rows'], [...patchRows({ ...first, ...both }), ...patchRows({ ...second, ...both })]);

/** Straight lines along x, one under another. */
export const lines = (s: number, speedMmPerS: number, passes: number, heights: readonly number[]): string =>
  gcode(
    ['Straight lines'],
    operation(
      'Lines',
      'proportional',
      heights.flatMap((yMm) =>
        burnPath(
          polyline(
            Array.from({ length: passes + 1 }, (_, k): [number, number] => [k % 2 === 0 ? 2 : 14, yMm]),
          ),
          { s, feedMmPerMin: mmPerMin(speedMmPerS), passes: 1 },
        ),
      ),
    ),
  );
