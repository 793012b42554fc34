import { afterAll, beforeAll, beforeEach, expect, test, vi } from 'vitest';
import { addMachine } from '../../viewer/state/shelf.ts';
import { load, operations, scene, settled } from '../../viewer/state/store.ts';
import type { Scene, Setup } from '../../viewer/worker/messages.ts';
import { machineWith } from '../support/machines.ts';
import { plainSetup } from './plain-setup.ts';
import { asked, ended } from './stand-in-forecaster.ts';

vi.mock('../../viewer/worker/client.ts', () => import('./stand-in-forecaster.ts'));
// The clock stands still here.
beforeAll(() => {
  vi.stubGlobal('cancelAnimationFrame', () => {});
});
afterAll(() => {
  vi.unstubAllGlobals();
});
beforeEach(() => {
  asked.length = 0;
  ended.mockClear();
});

const made = (setup: Setup, isFine: boolean) =>
  ({
    setup,
    isFine,
    own: [{ n: 1 }],
    forecast: { motion: { durationS: 1 }, dose: { grid: { nx: 1, ny: 1 } } },
  }) as unknown as Scene;
const answer = (k: number, scene: Scene) => asked[k]!.listener.done(scene);
/** How wide the cells are of all that was asked for, mm; null: as wide as the job's own. */
const cellsMm = () => asked.map(({ wish }) => wish.setup.cellMm);

test('a job that is opened is forecast once, coarse, and once, fine', async () => {
  const [first, second] = [plainSetup('G1 X1'), plainSetup('G1 X2')];
  void load(first, { name: 'first' });
  answer(0, made(first, true));
  expect(settled.value).toBe(true);
  const isLaid = load(second, { name: 'second' });
  const coarse = made(second, false);
  answer(1, coarse);
  expect(await isLaid).toBe(true);
  expect([scene.value, settled.value]).toEqual([coarse, false]);
  expect(operations.value).toBe(coarse.own);
  const fine = made(second, true);
  answer(2, fine);
  expect(scene.value).toBe(fine);
  expect(settled.value).toBe(true);
  expect(cellsMm()).toEqual([expect.any(Number), expect.any(Number), null]);
  expect(ended).not.toHaveBeenCalled();
});

test('one that is small is fine at once, and forecast no more', async () => {
  const job = plainSetup('G1 X3');
  const isLaid = load(job, { name: 'small' });
  answer(0, made(job, true));
  expect(await isLaid).toBe(true);
  expect(settled.value).toBe(true);
  expect(asked).toHaveLength(1);
});

test('what is laid on the shelf is no reason to forecast again', async () => {
  const job = plainSetup('G1 X4');
  const isLaid = load(job, { name: 'on the bench' });
  answer(0, made(job, true));
  await isLaid;
  addMachine({ ...machineWith({}), name: 'a gantry on the shelf' });
  expect(settled.value).toBe(true);
  expect(asked).toHaveLength(1);
});
