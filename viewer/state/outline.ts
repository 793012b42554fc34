import type { Spot, Stock } from '../../src/board.ts';

/** A board changed by its numbers: outline and marks go along where it lies, and the outline is lost where its size is another. */
export function withOutline(stock: Stock | null, before: Stock | null | undefined): Stock | null {
  if (!stock || !before || (stock.outline && stock.outline !== before.outline)) return stock;
  const { outline, ...rest } = stock;
  if (outline && (stock.widthMm !== before.widthMm || stock.heightMm !== before.heightMm)) return rest;
  const [dx, dy] = [stock.xMm - before.xMm, stock.yMm - before.yMm];
  if (dx === 0 && dy === 0) return stock;
  return {
    ...rest,
    ...(outline ? { outline: outline.map(([x, y]) => [x + dx, y + dy] as const) } : {}),
    ...(stock.avoid && stock.avoid === before.avoid
      ? { avoid: stock.avoid.map((spot) => ({ ...spot, xMm: spot.xMm + dx, yMm: spot.yMm + dy })) }
      : {}),
  };
}

export const LEAST_RADIUS_MM = 0.5;
export const MOST_RADIUS_MM = 200;

const tenth = (mm: number): number => Math.round(mm * 10) / 10;

/** As it is kept: to a tenth of a millimetre, and no smaller or larger than can be meant. */
export const plainSpot = ({ xMm, yMm, radiusMm }: Spot): Spot => ({
  xMm: tenth(xMm),
  yMm: tenth(yMm),
  radiusMm: Math.min(MOST_RADIUS_MM, Math.max(LEAST_RADIUS_MM, tenth(radiusMm))),
});

/** Sides of a circle as it is drawn. */
const SIDES = 36;

/** The rim of a marked place, from the right anticlockwise, mm. */
export const rimOf = ({ xMm, yMm, radiusMm }: Spot): [xMm: number, yMm: number][] =>
  Array.from({ length: SIDES }, (_, side) => {
    const turn = (2 * Math.PI * side) / SIDES;
    return [xMm + radiusMm * Math.cos(turn), yMm + radiusMm * Math.sin(turn)];
  });

/** The board with these marks; with none it is as if there had never been any. */
export function withSpots({ avoid: _, ...board }: Stock, next: readonly Spot[]): Stock {
  return next.length > 0 ? { ...board, avoid: next.map(plainSpot) } : board;
}
