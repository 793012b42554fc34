import { expect, test } from 'vitest';
import { boardsWords, hundredthsWords, type Said, sureSentence } from '../../src/sure/words.ts';

const said = (chanceThrough: number, rest: Partial<Said> = {}) =>
  sureSentence({ chanceThrough, passesForSure: 9, sure: 0.95, passes: 6, ...rest });

test.each([
  [0, 'It comes through on hardly any such board; 9 passes make it 19 of 20.'],
  [0.03, 'It comes through on fewer than 1 of 20 such boards; 9 passes make it 19 of 20.'],
  [0.05, 'It comes through on about 1 of 10 such boards; 9 passes make it 19 of 20.'],
  [0.62, 'It comes through on about 6 of 10 such boards; 9 passes make it 19 of 20.'],
  [0.949, 'It comes through on about 9 of 10 such boards; 9 passes make it 19 of 20.'],
])('a chance of %f says how many boards and what would be sure', (chance, words) => {
  expect(said(chance)).toBe(words);
});

test('a sure cut needs no more passes', () => {
  expect(said(0.95, { passesForSure: 6 })).toBe('It comes through on at least 19 of 20 such boards.');
  expect(said(1, { passesForSure: 2 })).toBe('It comes through on nearly every such board.');
});

test('where no number of passes does, or another part is enough, it says so', () => {
  expect(said(0, { passesForSure: null })).toBe(
    'It comes through on hardly any such board; not even 50 passes make it 19 of 20.',
  );
  expect(said(0.62, { sure: 0.9 })).toMatch(/9 passes make it 9 of 10\.$/);
  expect(said(0.62, { sure: 0.97 })).toMatch(/9 passes make it 97 of 100\.$/);
  expect(said(0.62, { sure: 0.5 })).toBe('It comes through on about 6 of 10 such boards.');
});

test('a chance just below what is asked is never rounded to it', () => {
  expect(said(0.87, { sure: 0.9 })).toBe(
    'It comes through on just under 9 of 10 such boards; 9 passes make it 9 of 10.',
  );
  expect(said(0.84, { sure: 0.9 })).toMatch(/on about 8 of 10 such boards; /);
  expect(boardsWords(0.87)).toBe('about 9 of 10 such boards');
  expect(hundredthsWords(0.949, 0.95)).toBe('just under 19 of 20 such boards');
  expect(hundredthsWords(0.944, 0.95)).toBe('94 of 100 such boards');
  expect(hundredthsWords(0.62, 0.95)).toBe('62 of 100 such boards');
  for (let k = 0; k < 95; k += 0.1) expect(hundredthsWords(k / 100, 0.95)).not.toMatch(/^9[5-9]|^100/);
});
