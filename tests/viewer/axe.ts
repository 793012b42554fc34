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

/** What it finds, each with where; empty: nothing. */
const found = (own: Page): Promise<string[]> =>
  own.evaluate(async () => {
    const { violations } = await axe.run({ resultTypes: ['violations'] });
    return violations.flatMap(({ id, nodes }) =>
      nodes.map(({ target, failureSummary }) => `${id}: ${target.join(' ')}: ${failureSummary ?? ''}`),
    );
  });

/** It finds nothing, light or dark. @param what is looked at, for whom it fails. */
export async function everySchemeOf(own: Page, what: string): Promise<void> {
  for (const colorScheme of ['light', 'dark'] as const) {
    await own.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    expect(await found(own), `${what}, ${colorScheme}`).toEqual([]);
  }
}
