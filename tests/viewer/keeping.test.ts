import { batch } from '@preact/signals';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { isKept, keepFrom } from '../../viewer/state/left.ts';
import { changes, loaded, operations, setup } from '../../viewer/state/store.ts';
import type { Setup } from '../../viewer/worker/messages.ts';

vi.mock('../../viewer/worker/client.ts', () => ({
  Forecaster: class {
    ask(): void {}
    cancel(): void {}
  },
}));

/** What was laid into the drawer under the page's own name, and how to let the drawer close. */
const drawn: { readonly thing: { readonly changes?: unknown }; readonly close: () => void }[] = [];
vi.mock('../../viewer/state/drawer.ts', () => ({
  fromDrawer: () => Promise.resolve({ thing: undefined, text: undefined }),
  intoDrawer: (name: string, thing: object) =>
    name === 'bench' ? new Promise<void>((close) => drawn.push({ thing, close })) : Promise.resolve(),
}));

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal('addEventListener', () => {});
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

test('what is changed while the bench is being kept is not taken for kept', async () => {
  const job = { job: { name: 'key.nc', text: 'G1' }, cellMm: 0.1 } as unknown as Setup;
  keepFrom('bench');
  batch(() => {
    loaded.value = job;
    setup.value = job;
    operations.value = [{ n: 1 }] as never;
  });
  await vi.advanceTimersByTimeAsync(1000);
  expect(drawn).toHaveLength(1);
  changes.value = new Map([[1, { speedMmPerS: 20 }]]);
  drawn[0]!.close();
  await vi.advanceTimersByTimeAsync(0);
  expect(isKept.value).toBe(false);
  await vi.advanceTimersByTimeAsync(1000);
  expect(drawn[1]!.thing.changes).toEqual([[1, { speedMmPerS: 20 }]]);
  drawn[1]!.close();
  await vi.advanceTimersByTimeAsync(0);
  expect(isKept.value).toBe(true);
});
