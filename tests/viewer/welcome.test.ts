import { batch } from '@preact/signals';
import { expect, test, vi } from 'vitest';
import { DEMO_TITLES } from '../../viewer/state/shelf.ts';
import { loaded, title } from '../../viewer/state/store.ts';
import { beginWelcome, welcome } from '../../viewer/welcome/Welcome.tsx';
import type { Setup } from '../../viewer/worker/messages.ts';

vi.mock('../../viewer/worker/client.ts', () => import('./stand-in-forecaster.ts'));

test('what is said of the demo goes with the first job of one’s own, and not with another piece of the demo', () => {
  vi.stubGlobal('matchMedia', () => ({ matches: true }));
  const lay = (name: string) =>
    batch(() => {
      title.value = name;
      loaded.value = { job: { name, text: '' } } as unknown as Setup;
    });
  // Nothing lies on the bench yet.
  loaded.value = null;
  beginWelcome();
  for (const [, words] of DEMO_TITLES) lay(words);
  expect(welcome.value).toBe(true);
  lay('key.nc');
  expect(welcome.value).toBe(false);
  vi.unstubAllGlobals();
});
