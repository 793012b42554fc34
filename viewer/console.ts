import { effect } from '@preact/signals';
import { stageHere } from './stage/here.ts';
import { isKept } from './state/left.ts';
import { onStage, opening, scene, settled } from './state/store.ts';

/**
 * What a curious person (or a test) finds under `charcast` in the browser's console: the report of the
 * forecast on screen, as `report.json` has it, and how the drawing goes.
 */
const forTheConsole = {
  /** Of the forecast on screen; null before the first. */
  get report() {
    return scene.value?.report ?? null;
  },
  /** What the stage shows: of a long job whose number is being dragged another one than that of the report. */
  get shown() {
    return onStage.value?.surface ?? null;
  },
  /** Whether the forecast on screen is fine and of what is asked now. */
  get settled() {
    return settled.value && opening.value === null;
  },
  /** Whether all that lies on the bench would be there again at the next visit. */
  get kept() {
    return isKept.value;
  },
  /** Where a place on the wood lies on the stage, px. */
  pixelOf(xMm: number, yMm: number): readonly [number, number] | null {
    return stageHere.value?.pixelOf(xMm, yMm) ?? null;
  },
  /** Frames drawn so far. */
  get frames() {
    return stageHere.value?.frames ?? 0;
  },
  /** Whether nothing is being drawn. */
  get idle() {
    return stageHere.value?.idle ?? true;
  },
  /** When the first burn was handed to the stage, ms after the page was asked for. */
  firstPictureMs: Number.NaN,
};
export type ForTheConsole = typeof forTheConsole;

const stop = effect(() => {
  if (scene.value && stageHere.value && Number.isNaN(forTheConsole.firstPictureMs)) {
    forTheConsole.firstPictureMs = performance.now();
    queueMicrotask(() => stop());
  }
});

Object.defineProperty(globalThis, 'charcast', { value: forTheConsole });
