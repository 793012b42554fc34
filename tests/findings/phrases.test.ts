import { expect, test } from 'vitest';
import { listWords } from '../../src/findings/phrases.ts';

/** Source: the lists of British English as ECMA-402 has them from the Unicode CLDR. */
const lists = new Intl.ListFormat('en-GB', { type: 'conjunction' });

test.each([0, 1, 2, 3, 4, 7])('%i words are listed as in British English', (count) => {
  const words = Array.from({ length: count }, (_, k) => `operation ${k + 1}`);
  expect(listWords(words)).toBe(lists.format(words));
});
