import { expect, test } from 'vitest';
import { readMaterial } from '../src/burn/material.ts';
import { InputError } from '../src/errors.ts';
import { forecast } from '../src/forecast.ts';
import { readMachine } from '../src/machine/profile.ts';

const caught = (work: () => unknown): InputError => {
  try {
    work();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};

test('the message of an error carries its file and line; the sentence stands by itself', () => {
  const machine = readMachine({ laser: { optical_power_w: 5 } });
  const error = caught(() => forecast('G21\nG1 X1,5 F600\n', machine, readMaterial({})));
  expect([error.line, error.source]).toEqual([2, undefined]);
  expect(error.message).toBe(`line 2: ${error.sentence}`);
  expect(error.sentence).toMatch(/^found a comma/);
  const named = error.from('leaf.nc');
  expect(named.message).toBe(`leaf.nc, line 2: ${error.sentence}`);
  expect(String(named)).toBe(named.message);
  expect(named.from('other.nc')).toBe(named);
});

test('without a place the message is the sentence alone, on one line', () => {
  const error = new InputError('found a\nbreak; expected none');
  expect(error.message).toBe('found a break; expected none');
  expect(caught(() => readMachine(3, 'm.json')).message).toMatch(/^m\.json: found 3/);
});
