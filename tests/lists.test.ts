import fc from 'fast-check';
import { expect, test } from 'vitest';
import { nthRising } from '../src/lists.ts';

const numbers = fc.oneof(fc.double({ noNaN: true }), fc.integer({ min: 0, max: 3 }), fc.constant(Infinity));

test('the value of a place in rising order is what sorting puts there, and parts what is less from what is more', () => {
  fc.assert(
    fc.property(fc.array(numbers, { minLength: 1, maxLength: 60 }), fc.nat(), (list, any) => {
      const place = any % list.length;
      const values = Float64Array.from(list);
      const sorted = values.slice().sort();
      // Of numbers that are alike, 0 and −0 among them, any may stand there.
      expect(nthRising(values, place) === sorted[place]).toBe(true);
      expect(values.subarray(0, place).every((each) => each <= sorted[place]!)).toBe(true);
      expect(values.subarray(place).every((each) => each >= sorted[place]!)).toBe(true);
      expect(values.sort()).toEqual(sorted);
    }),
  );
});
