import { differenceTable } from '../../src/picture/compare-picture.ts';
import { type ColourScale, coloured } from '../../src/picture/heat.ts';
import type { Picture } from '../../src/picture/picture.ts';
import { resample } from '../../src/picture/resample.ts';
import type { Scene } from '../worker/messages.ts';
import { wholeBoard } from './whole.ts';

const LONG_SIDE_PX = 1600;
/** The ends a scale of differences in tone may have. */
const ENDS = [0.1, 0.2, 0.5, 1] as const;

export interface DifferenceMap {
  readonly picture: Picture;
  /** The scale runs from −end to end. */
  readonly end: number;
}

/** Tone of B less tone of A over the wood that both lie on, on a diverging scale centred on equal. */
export function differenceMap(a: Scene, b: Scene): DifferenceMap {
  const board = wholeBoard([a, b]);
  const widthMm = board.maxXMm - board.minXMm;
  const heightMm = board.maxYMm - board.minYMm;
  const pxPerMm = LONG_SIDE_PX / Math.max(widthMm, heightMm);
  const view = {
    leftMm: board.minXMm,
    bottomMm: board.minYMm,
    pxPerMm,
    widthPx: Math.max(1, Math.round(widthMm * pxPerMm)),
    heightPx: Math.max(1, Math.round(heightMm * pxPerMm)),
  };
  const before = resample(a.forecast.burn.tone, a.forecast.burn.frame, view);
  const after = resample(b.forecast.burn.tone, b.forecast.burn.frame, view);
  let most = 0;
  for (let k = 0; k < after.length; k++) {
    after[k]! -= before[k]!;
    most = Math.max(most, Math.abs(after[k]!));
  }
  const end = ENDS.find((each) => each >= most) ?? 1;
  const scale: ColourScale = { from: -end, to: end, table: differenceTable(), bendAt: null };
  return { picture: coloured(after, view, scale), end };
}
