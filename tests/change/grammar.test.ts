import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Change, wishesOf } from '../../src/change/change.ts';
import { changesWords, changeWords, parseChanges } from '../../src/change/grammar.ts';
import { gcode, read } from './support.ts';

describe('the words of a change', () => {
  test('all settings at once, in the words of the manual', () => {
    expect(
      parseChanges('2: speed 1500, power 70%, constant, passes 3, overscan 4.2 mm, one direction'),
    ).toEqual([
      {
        operation: 2,
        speedMmPerS: 25,
        powerFraction: 0.7,
        powerMode: 'constant',
        passes: 3,
        overscanMm: 4.2,
        rowOrder: 'one direction',
      },
    ]);
  });

  test('several operations, all of a kind, units, and free spelling', () => {
    expect(
      parseChanges(' rows : SPEED 25 mm/s ;outlines: 2 passes, Proportional power; all: power 55.5 %;'),
    ).toEqual([
      { operation: 'rows', speedMmPerS: 25 },
      { operation: 'outlines', passes: 2, powerMode: 'proportional' },
      { operation: 'all', powerFraction: 0.555 },
    ]);
    expect(parseChanges('operation 3: speed 1500 mm/min, both directions')).toEqual([
      { operation: 3, speedMmPerS: 25, rowOrder: 'both directions' },
    ]);
  });

  test('the order of burning', () => {
    expect(parseChanges('2: last; 3: cut last, inside out; outlines: Inside First')).toEqual([
      { operation: 2, last: true },
      { operation: 3, last: true, insideFirst: true },
      { operation: 'outlines', insideFirst: true },
    ]);
  });

  test.each([
    ['', /(?:^|: )found no change; expected one such as 2: speed 1500/],
    [' ; ', /(?:^|: )found no change/],
    ['speed 1500', /(?:^|: )found “speed 1500”; expected an operation and a colon first/],
    [
      'first: speed 1500',
      /(?:^|: )found “first” before the colon; expected an operation's number, all, rows/,
    ],
    ['0: speed 1500', /(?:^|: )found “0” before the colon/],
    ['2:', /(?:^|: )found nothing to change for 2; expected a setting/],
    ['2: speed 1500,', /(?:^|: )found nothing to change for 2/],
    ['2: speed', /(?:^|: )found “speed”; expected a speed in mm\/min, as in speed 1500$/],
    ['2: speed 1500 cm/s', /(?:^|: )found “speed 1500 cm\/s”; expected a speed in mm\/min/],
    ['2: speed 0', /(?:^|: )found a speed of 0 mm\/min; expected one above 0/],
    ['2: speed -5', /(?:^|: )found a speed of -5 mm\/min; expected one above 0/],
    ['2: power 700', /(?:^|: )found a power of 700 %; expected one above 0, up to 100 % of full scale$/],
    ['2: power 3 W', /(?:^|: )found “power 3 W”; expected a power in per cent of full scale/],
    ['2: passes 2.5', /(?:^|: )found 2.5 passes; expected a whole number from 1 to 100$/],
    ['2: passes many', /(?:^|: )found “passes many”; expected a number of passes/],
    ['2: overscan 4,2 mm', /(?:^|: )found “2 mm”; expected speed, power, constant/],
    ['2: overscan 400', /(?:^|: )found an overscan of 400 mm; expected one from 0 to 100 mm$/],
    ['2: slower', /(?:^|: )found “slower”; expected speed, power, constant, proportional, passes, overscan/],
    ['2: any direction', /(?:^|: )found “any direction”; expected one direction or both directions$/],
    ['2: at last', /(?:^|: )found “at last”; expected last, for what is burned after all other operations$/],
    ['2: inside', /(?:^|: )found “inside”; expected inside first/],
    ['2: speed 1500, speed 900', /(?:^|: )found two settings of speed for 2; expected one$/],
    ['3: skip; 3: passes 2', /found skip beside passes for operation 3; expected that it is left out or/],
    ['3: passes 2; 2: last; 3: skip', /found skip beside passes for operation 3; expected that it is left/],
    ['3: skip, passes 2', /(?:^|: )found skip beside passes for operation 3; expected that it is left out/],
    ['3: only; 3: skip', /(?:^|: )found skip beside only for operation 3; expected that it is left out/],
    [
      '2: passes 2; 3: only',
      /found passes for operation 2, which only leaves out; expected changes of what stays/,
    ],
    ['3: only; 4: only; 1: speed 900', /found speed for operation 1, .* in the file: operation 3 or 4$/],
    ['2: speed 900; 2: speed 1500', /(?:^|: )found two settings of speed for operation 2; expected one$/],
    ['rows: power 20; rows: power 30 %', /(?:^|: )found two settings of power for rows; expected one$/],
    ['all: shift 1x2; all: shift 1x3', /(?:^|: )found two settings of shift for all; expected one$/],
    ['2: cut; 2: engrave', /(?:^|: )found two settings of purpose for operation 2; expected one$/],
  ])('%s is refused in one sentence', (text, sentence) => {
    expect(() => parseChanges(text)).toThrow(sentence);
  });

  test('what is written reads back, for any change', () => {
    const settings = fc.record(
      {
        speedMmPerS: fc.integer({ min: 1, max: 600_000 }).map((perMin) => perMin / 60),
        powerFraction: fc.integer({ min: 1, max: 10_000 }).map((part) => part / 10_000),
        powerMode: fc.constantFrom('constant' as const, 'proportional' as const),
        passes: fc.integer({ min: 1, max: 100 }),
        overscanMm: fc.integer({ min: 0, max: 100_000 }).map((um) => um / 1000),
        rowOrder: fc.constantFrom('one direction' as const, 'both directions' as const),
        last: fc.constant(true as const),
        insideFirst: fc.constant(true as const),
      },
      { requiredKeys: ['passes'] },
    );
    const operation = fc.oneof(
      fc.integer({ min: 1, max: 999 }),
      fc.constantFrom('all' as const, 'rows' as const, 'outlines' as const),
    );
    const change = fc.tuple(operation, settings).map(([n, rest]): Change => ({ operation: n, ...rest }));
    fc.assert(
      fc.property(
        fc.uniqueArray(change, { minLength: 1, maxLength: 4, selector: ({ operation }) => operation }),
        (changes) => {
          const back = parseChanges(changesWords(changes));
          expect(back).toHaveLength(changes.length);
          back.forEach((each, k) => {
            const { speedMmPerS: speed = 0, powerFraction: power = 0, ...rest } = changes[k]!;
            const { speedMmPerS: speedBack = 0, powerFraction: powerBack = 0, ...restBack } = each;
            expect(restBack).toEqual(rest);
            expect(speedBack).toBeCloseTo(speed, 9);
            expect(powerBack).toBeCloseTo(power, 12);
          });
        },
      ),
      { seed: 5, numRuns: 300 },
    );
  });

  test('no exponent and no noise of the last bit', () => {
    expect(changeWords({ operation: 1, powerFraction: 0.07 * 3, overscanMm: 0.0000001 })).toBe(
      '1: power 21 %, overscan 0.0000001 mm',
    );
  });
});

describe('changes of one operation', () => {
  const program = read(
    gcode('G21 G90', 'M3 S500', 'G1 X20 F1500', 'M5', 'G0 Y9', 'M3 S300', 'G1 X0 F900', 'M5'),
  );
  test.each([
    [
      [
        { operation: 2, skip: true },
        { operation: 2, passes: 2 },
      ],
      /^found skip beside passes for operation 2; expected that it is left out or changed, not both$/,
    ],
    [
      [
        { operation: 1, speedMmPerS: 20 },
        { operation: 1, speedMmPerS: 30 },
      ],
      /^found two settings of speed for operation 1; expected one$/,
    ],
  ] as const)('that contradict each other are refused, whoever made them', (changes, sentence) => {
    expect(() => wishesOf(program, changes)).toThrow(sentence);
  });

  test('may come one after the other, say the same twice, and be exceptions of what is said of all', () => {
    const [first, second] = wishesOf(
      program,
      parseChanges('all: passes 2; 1: passes 3; 1: passes 3; 2: skip; 1: speed 900'),
    );
    expect(first).toEqual({ passes: 3, speedMmPerS: 15 });
    expect(second).toMatchObject({ skip: true });
  });
});
