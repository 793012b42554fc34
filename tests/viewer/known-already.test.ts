import { afterAll, beforeAll, beforeEach, expect, test, vi } from 'vitest';
import { takeAll } from '../../viewer/bench/remedies.ts';
import { besideScene, besideWorking } from '../../viewer/state/beside.ts';
import { changes, load, place, scene, setMachine, settled, TEXELS } from '../../viewer/state/store.ts';
import type { Scene, Setup } from '../../viewer/worker/messages.ts';
import { machineWith } from '../support/machines.ts';
import { plainSetup } from './plain-setup.ts';
import { asked } from './stand-in-forecaster.ts';

vi.mock('../../viewer/worker/client.ts', () => import('./stand-in-forecaster.ts'));
// The clock stands still here.
beforeAll(() => {
  vi.stubGlobal('cancelAnimationFrame', () => {});
});
afterAll(() => {
  place.value = 'bench';
  vi.unstubAllGlobals();
});
beforeEach(() => {
  asked.length = 0;
});

const OWN = [{ n: 1, kind: 'outline', feedMmPerS: 10, sMax: 500, powerMode: 'constant', passes: 1 }];
const FINDING = {
  kind: 'not-through',
  severity: 'warning',
  operation: 1,
  measure: {},
  advice: { change: '1: passes 2' },
};

const made = (of: Setup, findings: readonly object[], cells = 1) =>
  ({
    setup: { ...of, job: { ...of.job, text: '' } },
    isFine: true,
    own: OWN,
    forecast: {
      motion: { durationS: 1 },
      dose: { grid: { nx: cells, ny: 1 } },
      findings,
      cuts: [],
    },
  }) as unknown as Scene;

/** A job on the bench, forecast to the last word. */
async function onTheBench(text: string, cells?: number): Promise<Scene> {
  place.value = 'bench';
  const isLaid = load(plainSetup(text), { name: text });
  const first = made(plainSetup(text), [FINDING], cells);
  asked[0]!.listener.done(first);
  await isLaid;
  asked.length = 0;
  return first;
}

/** Takes all remedies: what it tries makes the job well. */
async function taken(): Promise<Scene> {
  const over = takeAll();
  const better = made(asked[0]!.wish.setup, []);
  asked[0]!.listener.done(better);
  await over;
  return better;
}

test('remedies that were tried lie on the bench without another forecast', async () => {
  await onTheBench('G1 X11');
  const better = await taken();
  expect([...changes.value]).toEqual([[1, { passes: 2 }]]);
  expect(scene.value).toBe(better);
  expect(settled.value).toBe(true);
  expect(asked).toHaveLength(1);
});

test('the job as written is what the bench had of it before it was changed', async () => {
  const written = await onTheBench('G1 X12');
  place.value = 'compare';
  await taken();
  expect(besideScene.value).toBe(written);
  expect(besideWorking.value).toBe(false);
  expect(asked).toHaveLength(1);
  // On another machine it is another burn.
  setMachine({ ...machineWith({}), name: 'another gantry' });
  expect(asked.map(({ wish }) => wish.setup.changes.length)).toEqual([1, 1, 0]);
});

test('of a job too large to be kept it is forecast again', async () => {
  await onTheBench('G1 X13', TEXELS);
  place.value = 'compare';
  await taken();
  expect(besideWorking.value).toBe(true);
  expect(asked.at(-1)!.wish.setup.changes).toEqual([]);
});
