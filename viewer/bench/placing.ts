import { computed, signal } from '@preact/signals';
import { stockBounds } from '../../src/board.ts';
import { isEmptyBounds } from '../../src/grid.ts';
import { numberWords } from '../../src/words.ts';
import { scene, setup } from '../state/store.ts';

/** Whether dragging on the stage moves the job on the board. */
export const placing = signal(false);

/** How far the burn reaches over the board's edges, in words; null while all of it lies on the board. */
export const overTheEdge = computed<string | null>(() => {
  const at = setup.value;
  const burn = scene.value?.forecast.burnBounds;
  if (!at?.stock || !burn || isEmptyBounds(burn)) return null;
  const board = stockBounds(at.stock);
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
