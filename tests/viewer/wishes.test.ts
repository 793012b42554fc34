import { afterEach, expect, test, vi } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { takeWishes } from '../../viewer/worker/answer.ts';
import type { Answer, Forget, PostedWish } from '../../viewer/worker/messages.ts';
import { machineWith } from '../support/machines.ts';

/** What a worker makes of all that it finds when it has loaded. */

afterEach(() => vi.unstubAllGlobals());

const wish = (id: number): PostedWish => ({
  id,
  setup: {
    job: { name: 'job.nc', text: 'G21 G90\nM4 S0\nG1 X4 S500 F900\nM5\n' },
    machine: machineWith({}),
    material: shippedMaterials['poplar plywood']!,
    stock: null,
    changes: [],
    cellMm: 0.2,
  },
  texels: 1000,
  live: false,
  isTextKept: false,
});

/** What is told to the page until it has been quiet for a while after the last wish. */
async function answersTo(asked: readonly (PostedWish | Forget)[]): Promise<Answer[]> {
  const told: Answer[] = [];
  const worker = {
    postMessage: (answer: Answer) => told.push(answer),
    onmessage: (_event: { readonly data: unknown }) => {},
  };
  vi.stubGlobal('self', worker);
  takeWishes();
  for (const data of asked) worker.onmessage({ data });
  // A forecast goes on in one piece once it has begun.
  await new Promise((resolve) => setTimeout(resolve, 50));
  return told;
}

test('of wishes that came together only the last is forecast', async () => {
  const [ready, ...answers] = await answersTo([wish(1), wish(2), wish(3)]);
  expect(ready).toEqual({ kind: 'ready' });
  expect(answers.at(-1)).toMatchObject({ kind: 'done', id: 3 });
  expect(answers.filter((answer) => 'id' in answer && answer.id !== 3)).toEqual([]);
});

test('a wish that was taken back is not forecast', async () => {
  expect(await answersTo([wish(1), { forget: true }])).toEqual([{ kind: 'ready' }]);
});
