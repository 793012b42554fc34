import { expect, test, vi } from 'vitest';
import { changes, isStageAhead, onStage, scene, settled, setup, status } from '../../viewer/state/store.ts';
import type { Glimpse, Scene } from '../../viewer/worker/messages.ts';
import { plainSetup } from './plain-setup.ts';
import { asked } from './stand-in-forecaster.ts';

vi.mock('../../viewer/worker/client.ts', () => import('./stand-in-forecaster.ts'));

const lastAsked = () => asked.at(-1)!.listener;
const frame = { nx: 2, ny: 1, x0Mm: 0, y0Mm: 0, cellMm: 1 };
const wish = plainSetup('G1');
const made = {
  setup: wish,
  own: [{ n: 1 }],
  forecast: { motion: { durationS: 1 } },
  surface: { frame, rgba: new Uint8Array(8) },
  layers: { depth: new Uint8Array(8), isCut: false },
  pieces: { marks: null },
} as unknown as Scene;
const glimpse = {
  surface: { frame, rgba: Uint8Array.of(9, 0, 0, 0, 9, 0, 0, 0) },
  depth: new Uint8Array(8),
  isCut: true,
} as unknown as Glimpse;

test('a glimpse lies on the stage as what no sentence tells yet, and goes where its forecast is refused', () => {
  setup.value = wish;
  lastAsked().done(made);
  expect([onStage.value, isStageAhead.value]).toEqual([made, false]);
  changes.value = new Map([[1, { powerFraction: 0.5 }]]);
  lastAsked().glimpsed!(glimpse);
  expect([scene.value, isStageAhead.value, settled.value]).toEqual([made, true, false]);
  expect(onStage.value).toMatchObject({ surface: glimpse.surface, layers: { isCut: true } });
  lastAsked().refused({ sentence: 'not so', fault: false, lacksFeed: false });
  expect(status.value).toMatchObject({ kind: 'refused', sentence: 'not so' });
  expect(onStage.value).toBe(made);
  expect([isStageAhead.value, settled.value]).toEqual([false, false]);
});
