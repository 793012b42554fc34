import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { machineFromListing } from '../../src/machine/listing.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { LETTERED, NUMBERED, PER_MINUTE } from '../machine/listings.ts';
import { fuzz, soundOrRefused, timeoutMs } from './fuzzing.ts';
import { goodNumber, mutated, oddText, randomBytes } from './gcode.ts';

/** Lines as controllers print them, well and badly, with anything for a value. */
const value = fc.oneof(
  { weight: 6, arbitrary: goodNumber },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      '',
      '0',
      '-1',
      'NaN',
      '1e9',
      '1.5E+2',
      '1E3',
      '1,5',
      '9'.repeat(400),
      '=',
      '5 (x)',
      '7;',
    ),
  },
);
const numbered = fc
  .tuple(fc.oneof(fc.constantFrom(11, 12, 30, 31, 32, 110, 111, 112, 120, 121, 130, 132), fc.nat(400)), value)
  .map(([n, text]) => `$${n}=${text}`);
const lettered = fc
  .tuple(
    fc.constantFrom(
      'M201',
      'M203',
      'M204',
      'M205',
      'M208',
      'M566',
      'M92',
      'm0203',
      'G20',
      'G21',
      'M206',
      'M999',
      'M',
    ),
    fc.array(fc.tuple(fc.constantFrom(...'XYZEPSTRJBx'), value), { maxLength: 5 }),
    fc.constantFrom(' ', ''),
  )
  .map(([word, words, blank]) => word + words.map((part) => blank + part.join('')).join(''));
const around = fc.constantFrom(
  '',
  '',
  'echo:',
  'echo: ; ',
  '>>> ',
  '[10:21:07] ',
  '10:21:07.1 > ',
  'Recv: ',
  '<',
  '; ',
);
const caption = fc.constantFrom(
  '',
  '; (units/s)',
  ' ; mm/min',
  '(jerk)',
  'ok',
  '<Idle|Bf:15,128>',
  '$$',
  'error:9',
);
const line = fc
  .oneof({ weight: 4, arbitrary: fc.oneof(numbered, lettered) }, { weight: 1, arbitrary: caption })
  .chain((text) => fc.tuple(around, fc.constant(text), caption).map((part) => part.join('')));
const listing = fc
  .tuple(fc.array(line, { maxLength: 12 }), fc.constantFrom('\n', '\r\n', '\r'))
  .map(([lines, end]) => lines.join(end));

const SOURCES = {
  'listings of all kinds': listing,
  'true listings with characters changed': mutated(fc.constantFrom(NUMBERED, LETTERED, PER_MINUTE)),
  'G-code': oddText,
  'random bytes': randomBytes,
};

describe.each(Object.entries(SOURCES))('%s', (_, texts) => {
  test(
    'a working profile with every line told, or one plain sentence',
    () => {
      const base = { laser: { optical_power_w: 5 } };
      fuzz(texts, (text) => {
        const made = soundOrRefused(() => machineFromListing(text, base));
        if (!made) return;
        const machine = readMachine(made.profile);
        expect(machine.max_speed_mm_s.every(Number.isFinite)).toBe(true);
        expect(base).toEqual({ laser: { optical_power_w: 5 } });
        for (const { text: told } of [...made.told, ...made.unused])
          expect(told).toMatch(/^[^\n\r]{5,300}\.$/);
        // No line is passed over, but for blanks, acknowledgements and captions.
        const named = new Set([...made.told, ...made.unused].map((remark) => remark.line));
        text.split(/\r\n|\r|\n/).forEach((raw, k) => {
          if (/\$ *\d+ *=|[MG] *0*\d+[^\d.;(]*/i.test(raw.replace(/[;(].*/, '')) && !named.has(k + 1)) {
            throw new Error(`line ${k + 1} was passed over: ${JSON.stringify(raw)}`);
          }
        });
      });
    },
    timeoutMs(5),
  );
});
