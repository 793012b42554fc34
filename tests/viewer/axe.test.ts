import { describe, test } from 'vitest';
import { emptyNotebook, type Notebook } from '../../src/outcome/notebook.ts';
import { everySchemeOf, withAxe } from './axe.ts';
import { drop, firstVisit, go, SLOW, SMALL_SQUARE, settle, smallMarker, useWorld } from './world.ts';

/** Every place of the page, light and dark, by an accessibility checker that is not ours. */

const world = useWorld();
/** One burn that was told of. */
const NOTEBOOK: Notebook = {
  ...emptyNotebook(),
  entries: [
    {
      date: '2026-05-01',
      job: 'marker.nc',
      job_hash: '',
      machine: 'bench gantry',
      wood: 'poplar plywood',
      learned_as: null,
      board_mm: null,
      operations: [],
      picture: null,
    },
  ],
};

const PLACES = [
  'Bench',
  'Speed and power',
  'My machine',
  'My wood',
  'The line',
  'Compare',
  'To take away',
  'Notebook',
  'Learn',
];

describe('an accessibility checker finds nothing', () => {
  test(
    'in any place, light or dark',
    async () => {
      const own = await world.open({ jobs: await smallMarker(), viewport: { width: 1280, height: 720 } });
      await settle(own);
      await withAxe(own);
      for (const place of PLACES) {
        await go(own, place);
        await own.waitForTimeout(300);
        if (place === 'Notebook') {
          await own.getByLabel('how operation 1 turned out').selectOption('tone');
          await drop(own, { 'notebook.json': JSON.stringify(NOTEBOOK) });
          await own.locator('.notebook > li').waitFor();
        }
        await everySchemeOf(own, place);
      }
      await own.context().close();
    },
    2 * SLOW,
  );

  test(
    'in what is laid over, on a phone, and where something was refused',
    async () => {
      const own = await world.open({ jobs: await firstVisit(), viewport: { width: 390, height: 844 } });
      await settle(own);
      await own.locator('.welcome').waitFor();
      await withAxe(own);
      await everySchemeOf(own, 'the first visit');
      await own.getByRole('button', { name: 'Keys', exact: true }).click();
      await everySchemeOf(own, 'keys');
      await own.keyboard.press('Escape');
      await drop(own, { 'bad.nc': 'G21 G90\nG1 X10 S100\n' });
      await own.locator('.trouble').waitFor();
      await everySchemeOf(own, 'a refusal');
      await own.locator('.trouble').getByRole('button', { name: 'close' }).click();
      await go(own, 'My machine');
      await own.locator('.stopwatch summary').click();
      await own.locator('#listing').fill('$110=6000\n$120=500\n');
      await everySchemeOf(own, 'a listing');
      await drop(own, { 'a.nc': SMALL_SQUARE, 'b.nc': SMALL_SQUARE, 'c.nc': SMALL_SQUARE });
      await own.locator('.several').waitFor();
      await everySchemeOf(own, 'several jobs');
      await own.context().close();
    },
    2 * SLOW,
  );
});
