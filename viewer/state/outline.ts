import type { Stock } from '../../src/board.ts';

/** A board changed by its numbers: outline and marks go along where it lies, and the outline is lost where its size is another. */
export function withOutline(stock: Stock | null, before: Stock | null | undefined): Stock | null {
  if (!stock?.outline || !before?.outline || stock.outline !== before.outline) return stock;
  const { outline, ...rest } = stock;
  if (stock.widthMm !== before.widthMm || stock.heightMm !== before.heightMm) return rest;
  const [dx, dy] = [stock.xMm - before.xMm, stock.yMm - before.yMm];
  if (dx === 0 && dy === 0) return stock;
  return {
    ...rest,
    outline: outline.map(([x, y]) => [x + dx, y + dy] as const),
    ...(stock.avoid
      ? { avoid: stock.avoid.map(({ xMm, yMm, radiusMm }) => ({ xMm: xMm + dx, yMm: yMm + dy, radiusMm })) }
      : {}),
  };
}
