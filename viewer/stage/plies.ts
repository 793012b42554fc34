/** Plywood of hobby shops is laid of an odd number of plies, about so thick (common practice, no source), mm. */
const USUAL_PLY_MM = 1.3;

/** How thick a ply of a board is, mm; solid wood is one. */
export function plyMm(woodName: string, thicknessMm: number): number {
  if (!/\bply(wood)?\b/i.test(woodName)) return thicknessMm;
  const pairs = Math.max(1, Math.round((thicknessMm / USUAL_PLY_MM - 1) / 2));
  return thicknessMm / (2 * pairs + 1);
}
