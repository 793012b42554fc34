import { signal } from '@preact/signals';
import type { Stage } from './stage.ts';

/** The stage on screen; null while there is none. */
export const stageHere = signal<Stage | null>(null);
