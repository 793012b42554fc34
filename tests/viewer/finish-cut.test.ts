import { expect, test } from 'vitest';
import { quickSquare, SLOW, SQUARE, saving, settle, textOf, useWorld } from './world.ts';

/** A cut that did not come through, finished from the page on the same clamped board. */

const world = useWorld();

test(
  'the job that finishes a cut is written, with what to see to before',
  async () => {
    const page = await world.open({ jobs: await quickSquare() });
    await settle(page);
    await page.getByText('It was burned and did not come through').click();
    const depth = page.getByLabel('depth that the cut reached, mm');
    await depth.fill('1.6');
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Write the job that finishes it' }).click();
    await page.getByText(/Nothing else is burned again/).waitFor();
    await page.getByText(/The board must not have moved/).waitFor();
    const file = await saving(page.getByRole('button', { name: 'Save the finishing job' }));
    expect(file.suggestedFilename()).toBe('square-finish.nc');
    const text = await textOf(file);
    // The engraving is gone, the cut is there, more than once.
    expect(SQUARE).toContain('S300');
    expect(text).not.toContain('S300');
    expect(text).toMatch(/S1000 F400/);
    await page.context().close();
  },
  SLOW,
);
