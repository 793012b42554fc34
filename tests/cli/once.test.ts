import { expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';

/** What would silently not count is refused. */

const place = workplace();
const gantry = (name: string) =>
  place.write(`${name}.json`, JSON.stringify({ name, laser: { optical_power_w: 5 } }));
const [a, b] = [gantry('a'), gantry('b')];

test.each<[string[], RegExp]>([
  [
    ['suggest', '--want', 'tan', '--machine', a, '--machine', b],
    /^charcast: found --machine twice, with “.*a\.json” and with “.*b\.json”; expected it once$/,
  ],
  [['suggest', '--want', 'tan', '--want=brown'], /found --want twice, with “tan” and with “brown”/],
  [['chart', '-o', 'a.png', '--out', 'b.png'], /found --out twice, with “a\.png” and with “b\.png”/],
  [
    ['suggest', '--want', 'tan', '--for', 'line', '--rows', '0.1'],
    /^charcast: found --rows beside --for line, which burns a line; expected it with rows only$/,
  ],
  [
    ['suggest', '--want', 'cut', '--thickness', '3', '--row-length', '20'],
    /found --row-length beside --want cut, which burns a line; expected it with rows only/,
  ],
  [['chart', '--for', 'line', '--rows', '0.1', '-o', place.path('c.png')], /found --rows beside --for line/],
])('%j is refused in a sentence', async (words, sentence) => {
  const { status, out, err } = await place.charcast(...words);
  expect([status, out]).toEqual([2, '']);
  expect(err.trimEnd()).toMatch(sentence);
});

test('the same twice, and a switch twice, contradict nothing', async () => {
  const words = ['suggest', '--want', 'tan', '--machine', a];
  const once = await place.charcast(...words, '--json');
  const twice = await place.charcast(...words, '--machine', a, '--json', '--json');
  expect(twice).toEqual(once);
  expect(once.status).toBe(0);
});
