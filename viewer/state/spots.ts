import { batch, computed, signal } from '@preact/signals';
import { type Spot, stockBounds } from '../../src/board.ts';
import { holdsPoint } from '../../src/grid.ts';
import { withSpots } from './outline.ts';
import { pointed, setStock, setup } from './store.ts';

/** Knots and old holes that a person marked on the board: the burn is to keep off them. */
export const spots = computed<readonly Spot[]>(() => setup.value?.stock?.avoid ?? []);

/** The next press on the board marks one. */
export const marking = signal(false);

const RADIUS_MM = 4;

/** Marks a place; beside the board there is none to mark, and the next press counts. */
export function markSpot([xMm, yMm]: readonly [number, number]): void {
  const stock = setup.peek()?.stock;
  if (!stock || !holdsPoint(stockBounds(stock), xMm, yMm)) return;
  batch(() => {
    marking.value = false;
    // What was pointed at is marked now, and what is told of it would lie over the mark.
    pointed.value = null;
    put([...spots.peek(), { xMm, yMm, radiusMm: RADIUS_MM }]);
  });
}

export const changeSpot = (k: number, with_: Partial<Spot>): void =>
  put(spots.peek().map((spot, j) => (j === k ? { ...spot, ...with_ } : spot)));

export const takeSpotAway = (k: number): void => put(spots.peek().filter((_, j) => j !== k));

function put(next: readonly Spot[]): void {
  const stock = setup.peek()?.stock;
  if (stock) setStock(withSpots(stock, next));
}
