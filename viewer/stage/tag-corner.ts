/** Where a tag stands beside a place on the stage; all in CSS pixels from the stage's upper left corner. */

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

type Pair = readonly [number, number];

/** The tag keeps so far from the stage's edges, and from what lies over the stage, … */
const EDGE_PX = 4;
/** … and so far from its place, to the side, above and beneath, where the pointer is. */
const BESIDE_PX = 18;
const ABOVE_PX = 8;
const BENEATH_PX = 18;

/**
 * The upper left corner of a tag: right of the place and above it, left of it where there is no room, and beneath it where
 * something that lies over the stage would hide the tag.
 * @param card what lies over the stage; null: nothing does.
 */
export function tagCorner([x, y]: Pair, [width, height]: Pair, stage: Pair, card: Box | null): Pair {
  const beside = x + BESIDE_PX + width > stage[0] ? x - BESIDE_PX - width : x + BESIDE_PX;
  // Where it fits on neither side, as on a phone, it stands above the place.
  const left = Math.max(EDGE_PX, Math.min(stage[0] - width - EDGE_PX, beside));
  const top = Math.max(EDGE_PX, y - height - ABOVE_PX);
  const isHidden =
    card && left < card.right && left + width > card.left && top < card.bottom && top + height > card.top;
  if (!isHidden) return [left, top];
  const beneath = Math.max(y + BENEATH_PX, card.bottom + EDGE_PX);
  return [left, Math.max(EDGE_PX, Math.min(stage[1] - height - EDGE_PX, beneath))];
}
