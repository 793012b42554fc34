import { computed, signal } from '@preact/signals';
import { type Stock, stockBounds } from '../../src/board.ts';
import { type Bounds, isEmptyBounds } from '../../src/grid.ts';
import { numberWords } from '../../src/words.ts';
import { laidBy } from './changes.ts';
import { changes, layJob, scene, setStock, setup } from './store.ts';

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

/** The board laid so that the burn is in its middle; null where it is there, does not fit on it, or nothing burns. */
export const centredStock = computed<Stock | null>(() => {
  const stock = setup.value?.stock;
  const burn = scene.value?.forecast.burnBounds;
  if (!stock || !burn || isEmptyBounds(burn)) return null;
  return centred(stock, burn);
});

/** A board laid with its middle under the burn's, to a tenth of a mm; null where it lies so or is too small. */
export function centred(stock: Stock, burn: Bounds): Stock | null {
  const spareX = stock.widthMm - (burn.maxXMm - burn.minXMm);
  const spareY = stock.heightMm - (burn.maxYMm - burn.minYMm);
  if (spareX < 0 || spareY < 0) return null;
  const [xMm, yMm] = [tenth(burn.minXMm - spareX / 2), tenth(burn.minYMm - spareY / 2)];
  return xMm === stock.xMm && yMm === stock.yMm ? null : { ...stock, xMm, yMm };
}

const tenth = (mm: number): number => Math.round(mm * 10) / 10;

/** Lets the job lie where it was dragged to, to a tenth of a mm. */
export function letGo(): void {
  const by = dragged.peek();
  dragged.value = [0, 0];
  moveJob(...by);
}

/** Moves the job on the board. */
export function moveJob(xMm: number, yMm: number): void {
  if (xMm === 0 && yMm === 0) return;
  const [x, y] = laidBy(changes.peek()).shiftMm;
  layJob({ shiftMm: [tenth(x + xMm), tenth(y + yMm)] });
}

/** Turns the job by quarters, counter-clockwise. */
export function turnJob(quarters: number): void {
  layJob({ turnDegrees: (laidBy(changes.peek()).turnDegrees + 360 + 90 * quarters) % 360 });
}

/** Moves the job to the middle of the board. */
export function centreJob(): void {
  const [stock, to] = [setup.peek()?.stock, centredStock.peek()];
  if (stock && to) moveJob(stock.xMm - to.xMm, stock.yMm - to.yMm);
}

/** Lays the board so that the job comes to lie in its middle: the file stays as it is. */
export function layBoard(): void {
  const stock = centredStock.peek();
  if (stock) setStock(stock);
}
