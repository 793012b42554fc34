import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import type { Page } from 'playwright-core';
import { expect } from 'vitest';

/** An accessibility checker that is not ours, on a page. */

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
declare const axe: { run: (options: object) => Promise<AxeResults> };

/** Puts the checker on the page. */
export const withAxe = (own: Page) => own.evaluate(AXE);

/** Its rules that look at colours. */
export const OF_COLOUR = ['color-contrast', 'link-in-text-block'];

/** What it finds, each with where; empty: nothing. @param rules these alone; null: all that it has. */
const found = (own: Page, rules: readonly string[] | null): Promise<string[]> =>
  own.evaluate(async (runOnly) => {
    const { violations } = await axe.run({ resultTypes: ['violations'], ...(runOnly && { runOnly }) });
    return violations.flatMap(({ id, nodes }) =>
      nodes.map(({ target, failureSummary }) => `${id}: ${target.join(' ')}: ${failureSummary ?? ''}`),
    );
  }, rules);

/**
 * It finds nothing, light or dark. By the page's styles the dark is the light in other colours, so that only these are
 * looked at once more.
 * @param what is looked at, for whom it fails.
 */
export async function everySchemeOf(own: Page, what: string): Promise<void> {
  for (const colorScheme of ['light', 'dark'] as const) {
    await own.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    const rules = colorScheme === 'dark' ? OF_COLOUR : null;
    expect(await found(own, rules), `${what}, ${colorScheme}`).toEqual([]);
  }
}
