import { computed, signal } from '@preact/signals';
import { stockBounds } from '../../src/board.ts';
import { isEmptyBounds } from '../../src/grid.ts';
import { numberWords } from '../../src/words.ts';
import { scene, setStock, setup } from '../state/store.ts';

/** Whether dragging on the stage moves the job on the board, … */
export const placing = signal(false);
/** … and how far it has been dragged so far, mm. */
export const dragged = signal<readonly [number, number]>([0, 0]);

/** How far the burn reaches over the board's edges, in words; null while all of it lies on the board. */
export const overTheEdge = computed<string | null>(() => {
  const at = setup.value;
  const burn = scene.value?.forecast.burnBounds;
  if (!at?.stock || !burn || isEmptyBounds(burn)) return null;
  const [dx, dy] = dragged.value;
  const board = stockBounds({ ...at.stock, xMm: at.stock.xMm - dx, yMm: at.stock.yMm - dy });
  const sides = [
    ['left', board.minXMm - burn.minXMm],
    ['right', burn.maxXMm - board.maxXMm],
    ['front', board.minYMm - burn.minYMm],
    ['back', burn.maxYMm - board.maxYMm],
  ] as const;
  const over = sides.filter(([, mm]) => mm > 0.005);
  if (over.length === 0) return null;
  const words = over.map(([side, mm]) => `${numberWords(mm, 2)} mm over its ${side} edge`);
  return `The job leaves the board: ${words.join(', ')}.`;
});

/** Lets the job lie where it was dragged to: the board's corner moves the other way, to a tenth of a mm. */
export function letGo(): void {
  const stock = setup.peek()?.stock;
  const [dx, dy] = dragged.peek();
  dragged.value = [0, 0];
  if (!stock || (dx === 0 && dy === 0)) return;
  const tenth = (mm: number) => Math.round(mm * 10) / 10;
  setStock({ ...stock, xMm: tenth(stock.xMm - dx), yMm: tenth(stock.yMm - dy) });
}
