import type { Stock } from '../../src/board.ts';
import { readMaterial } from '../../src/burn/material.ts';
import { readMachine } from '../../src/machine/profile.ts';
import type { Setup } from '../worker/messages.ts';

/**
 * A setup that was kept, with its job's text, checked again.
 * @throws {Error} where it was kept by another version.
 */
export const readSetup = (of: Setup, text: string): Setup => ({
  ...of,
  job: { name: String(of.job.name), text },
  machine: readMachine(of.machine),
  material: readMaterial(of.material),
  stock: of.stock && readStock(of.stock),
  changes: [],
});

function readStock(stock: Stock): Stock {
  const { widthMm, heightMm, thicknessMm, thicknessPlusMinusMm, xMm, yMm } = stock;
  const isStock = [widthMm, heightMm, thicknessMm ?? 1, thicknessPlusMinusMm ?? 1, xMm, yMm].every(
    Number.isFinite,
  );
  const areSpots = (stock.avoid ?? []).every((spot) =>
    [spot.xMm, spot.yMm, spot.radiusMm].every(Number.isFinite),
  );
  if (!isStock || !areSpots) throw new Error('no board');
  return stock;
}
