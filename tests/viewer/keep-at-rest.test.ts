import { signal } from '@preact/signals';
import { expect, test, vi } from 'vitest';
import { keepAtRest } from '../../viewer/state/keep-at-rest.ts';

test('what a key moves step by step is kept once, when it rests, and at once when the page goes', async () => {
  vi.useFakeTimers();
  let leave = () => {};
  vi.stubGlobal('addEventListener', (_: string, told: () => void) => {
    leave = told;
  });
  const corner = signal(0);
  const behind = signal(false);
  const kept: number[] = [];
  const photo = {};
  keepAtRest(
    () => [photo, corner.value] as const,
    behind,
    async ([, at]) => void kept.push(at),
  );
  await vi.advanceTimersByTimeAsync(5000);
  expect([kept, behind.value]).toEqual([[], false]);
  for (let press = 1; press <= 20; press++) {
    corner.value = press;
    await vi.advanceTimersByTimeAsync(40);
    expect([kept, behind.value]).toEqual([[], true]);
  }
  await vi.advanceTimersByTimeAsync(1000);
  expect([kept, behind.value]).toEqual([[20], false]);
  corner.value = 21;
  leave();
  expect(kept).toEqual([20, 21]);
  await vi.advanceTimersByTimeAsync(5000);
  expect([kept, behind.value]).toEqual([[20, 21], false]);
  vi.useRealTimers();
  vi.unstubAllGlobals();
});
