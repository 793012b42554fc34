import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import axe from 'axe-core';
import { expect, test } from 'vitest';
import { OF_COLOUR } from './axe.ts';

/** What allows the accessibility checker to look at the dark page by its colours alone. */

const VIEWER = fileURLToPath(new URL('../../viewer', import.meta.url));
const styles = readdirSync(VIEWER, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.css'))
  .map((name) => readFileSync(`${VIEWER}/${name}`, 'utf8'))
  .join('\n');

test('the dark gives the page’s colours other values, and nothing else', () => {
  const darks = [...styles.matchAll(/@media \(prefers-color-scheme: dark\) \{\s*:root \{([^{}]*)\}\s*\}/g)];
  expect(darks.length).toBeGreaterThan(0);
  expect(styles.match(/prefers-color-scheme|light-dark/g)).toHaveLength(darks.length);
  const changed = darks.flatMap(([, body]) => body!.split(';').map((each) => each.trim()));
  for (const each of changed.filter((words) => words !== ''))
    expect(each).toMatch(/^--[a-z-]+: (?:#[0-9a-f]{6}|rgb\([^()]+\))$/);
});

test('its rules that look at colours are all that it has, but for contrast beyond what is common', () => {
  const rules = axe.getRules(['cat.color']).map(({ ruleId }) => ruleId);
  expect(rules.filter((rule) => rule !== 'color-contrast-enhanced').toSorted()).toEqual(OF_COLOUR.toSorted());
});
