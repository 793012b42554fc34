/** The stretch of time that is on the strip, s. */
export type Span = readonly [fromS: number, toS: number];

/** No closer than this. */
const CLOSEST_S = 0.05;
/** When the moment runs out of view, it comes in again so far from the edge it left towards, as a part of the view. */
const AHEAD = 0.1;

/** `factor` of the stretch around a moment that stays where it is, within the whole; null: all of it. */
export function zoomed(span: Span, factor: number, aroundS: number, wholeS: number): Span | null {
  const [from, to] = span;
  const width = Math.max(CLOSEST_S, (to - from) * factor);
  if (width >= wholeS) return null;
  return within(aroundS - ((aroundS - from) * width) / (to - from), width, wholeS);
}

/** The stretch moved so that a moment is in view; the same one where it is. */
export function following(span: Span, tS: number, wholeS: number): Span {
  const [from, to] = span;
  if (tS >= from && tS <= to) return span;
  const width = to - from;
  return within(tS > to ? tS - AHEAD * width : tS - (1 - AHEAD) * width, width, wholeS);
}

/** What is left of a stretch when the whole has become shorter; null: all of it. */
export function kept(span: Span, wholeS: number): Span | null {
  const width = span[1] - span[0];
  return width >= wholeS ? null : within(span[0], width, wholeS);
}

const within = (fromS: number, widthS: number, wholeS: number): Span => {
  const start = Math.min(Math.max(0, fromS), wholeS - widthS);
  return [start, start + widthS];
};
