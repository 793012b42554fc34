import { readFileSync } from 'node:fs';
import fc from 'fast-check';

/**
 * Generators of G-code for property tests: words as people write them, words as nobody should, whole jobs,
 * and jobs with characters changed.
 */

/** Numbers in every spelling RS-274 allows. */
export const goodNumber: fc.Arbitrary<string> = fc
  .tuple(
    fc.constantFrom('', '', '', '+', '-'),
    fc.nat({ max: 300 }).map(String),
    fc.option(fc.tuple(fc.nat({ max: 99_999 }), fc.nat({ max: 4 })), { nil: undefined }),
    fc.constantFrom('', '', '', '0', '00'),
  )
  .map(([sign, whole, part, zeros]) =>
    part === undefined
      ? sign + zeros + whole
      : `${sign}${zeros}${whole}.${String(part[0]).slice(0, part[1])}`,
  );

const smallNumber = fc.integer({ min: 0, max: 50 }).map((n) => String(n / 2));

const blank = fc.constantFrom('', '', ' ', ' ', '  ', '\t');
/** Axis words, each letter at most once. */
const axisWords = fc
  .tuple(fc.subarray(['X', 'y', 'Z']), fc.array(fc.tuple(blank, goodNumber), { minLength: 3, maxLength: 3 }))
  .map(([letters, numbers]) => letters.map((letter, k) => letter + numbers[k]!.join('')));
const MODAL_GROUPS = [
  ['G0', 'G1', 'G1', 'G00', 'g01', 'G80'],
  ['G17', 'G18', 'G19'],
  ['G20', 'G21', 'g21'],
  ['G90', 'G91'],
  ['G54', 'G55', 'G94', 'G40', 'G49', 'G64', 'G61', 'G4P0.1'],
  ['M3', 'M4', 'm5', 'M03'],
  ['M7', 'M8', 'M9', 'M106', 'M107', 'T1'],
];
/** Words of up to two modal groups, one each. */
const modalWords = fc
  .tuple(fc.subarray(MODAL_GROUPS, { maxLength: 2 }), fc.nat(99), fc.nat(99))
  .map(([groups, one, other]) => groups.map((group, k) => group[(k === 0 ? one : other) % group.length]!));
const settingWord = fc.oneof(
  smallNumber.map((n) => `F${n}0`),
  smallNumber.map((n) => `S${n}`),
);
const comment = fc.constantFrom('(a)', '( X1 )', '; tail', ';', '()');

/** A block that a careful person might write. */
export const goodBlock: fc.Arbitrary<string> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc
      .tuple(
        fc.constantFrom('', 'G0 ', 'G1', 'G1 '),
        smallNumber,
        smallNumber,
        fc.option(settingWord, { nil: '' }),
      )
      .map(([g, x, y, set]) => `${g}X${x} Y${y} ${set}`),
  },
  {
    weight: 2,
    arbitrary: fc
      .tuple(modalWords, axisWords, blank)
      .map(([modal, axes, between]) => [...modal, ...axes].join(between)),
  },
  {
    weight: 1,
    arbitrary: fc
      .tuple(fc.constantFrom('G2', 'G3'), smallNumber, smallNumber)
      .map(([g, i, j]) => `${g} I${i} J${j}.5`),
  },
  { weight: 1, arbitrary: fc.tuple(modalWords, comment).map(([words, tail]) => [...words, tail].join(' ')) },
  {
    weight: 1,
    arbitrary: fc.constantFrom('', '%', 'G28', 'G28 X Y', 'G92 X0 Y0', 'M0', 'N10', '$H', '/G0X1'),
  },
);

/** Pieces of lines that are wrong, doubtful or of another dialect. */
const oddPiece = fc.constantFrom(
  ...[
    'X',
    'Y',
    'X0,5',
    'X1.2.3',
    'X1e3',
    'X--1',
    'X1 2',
    'G',
    'M',
    'G1.55',
    'G1000000',
    'M-3',
    'N-1',
    'G2',
    'R5',
  ],
  ...[
    'I1',
    'J-2',
    'K3',
    'P1',
    'P-1',
    'E5',
    'X1 E5',
    '#1=5',
    'X#1',
    '[1+2]',
    'O100 sub',
    'O5',
    'M98 P1',
    'G65 P9',
  ],
  ...[
    '*',
    '*12',
    '*12345',
    'N1 G28*18',
    'G81',
    'G38.2',
    'G5',
    'G10 L2',
    'G93',
    'G41',
    'M117 Hello (',
    'M30',
    '%',
  ],
  ...[
    '(',
    ')',
    '((',
    ';',
    '{"a":1}',
    '$J=X1',
    '$32=1',
    '$$',
    '!',
    '?',
    '\u00e9',
    '\u2212',
    '\u0000',
    '\u001b',
  ],
  ...[
    'X1e308',
    `X${'9'.repeat(400)}`,
    'X0.' + '0'.repeat(400) + '1',
    'S-1',
    'F-1',
    'F0',
    'G4',
    'G4 S1',
    'G4 X1',
  ],
  ...[
    'X1.2e-14',
    'Y5E+0',
    'X1E5',
    'X1O5',
    'x1e2',
    'K0',
    'K0.5',
    'J0 K0',
    'X1 X1',
    'X1 X2',
    'G1 G1',
    'F0.001',
  ],
  ...[
    '(a (b)',
    '(a (b) c)',
    '(a))',
    '(open',
    'Herb marker',
    '-----',
    'G3 X9 I4.55',
    'M117 G1 X9',
    'M118',
    'N1 M117 ((',
  ],
  ...['G92.1', 'G53', 'M201 X500', 'M204 S500', 'T', 'D', 'G2 I1e9', 'R-5', 'Q', 'U1', '\uFEFF', '\r', ','],
);

/** Lines that some controllers read and others stop at. */
const tolerated = fc.constantFrom(
  ...[
    'Herb marker 3',
    '=====',
    'G1 X5 (a (b) c) Y5',
    'G1 X5 (open',
    'X5 X5',
    'X5 X6',
    'Y1.2e-1',
    'G3 X0 Y0 I1 K0',
  ],
  ...['G3 X2.02 Y0 I1 J0 K5', 'F0', 'S9999', 'M117 G1 X200 Y200', 'G1 Y3)', '((((', '))))'],
);

/** Lines of any kind. */
const anyLine: fc.Arbitrary<string> = fc.oneof(
  { weight: 5, arbitrary: goodBlock },
  { weight: 1, arbitrary: tolerated },
  { weight: 1, arbitrary: fc.tuple(goodBlock, blank, oddPiece).map((part) => part.join('')) },
  { weight: 1, arbitrary: fc.tuple(oddPiece, blank, goodBlock).map((part) => part.join('')) },
);

const lineEnd = fc.constantFrom('\n', '\n', '\n', '\r\n', '\r');

/** A job that mostly reads well. */
export const jobText: fc.Arbitrary<string> = fc
  .tuple(
    fc.constantFrom('F600\n', 'G21 G90\nM4 S10 F600\nG0 X1\n', '%\nF600 M3 S5\n'),
    fc.array(fc.tuple(goodBlock, lineEnd), { maxLength: 40 }),
  )
  .map(([head, lines]) => head + lines.flat().join(''));

/** Structured nonsense: lines good and odd, in any order. */
export const oddText: fc.Arbitrary<string> = fc
  .tuple(fc.constantFrom('', 'F600 M3 S5\nG0 X99\n'), fc.array(fc.tuple(anyLine, lineEnd), { maxLength: 12 }))
  .map(([head, lines]) => head + lines.flat().join(''));

/** A text with a few characters replaced, inserted or deleted. */
export const mutated = (text: fc.Arbitrary<string>): fc.Arbitrary<string> =>
  fc
    .tuple(
      text,
      fc.array(
        fc.tuple(
          fc.nat(),
          fc.nat(2),
          fc.oneof(
            fc.constantFrom(...'GXYMSFIJR0123456789.-+ ()*;%/#[]\n'),
            fc.integer({ min: 0, max: 255 }).map((c) => String.fromCharCode(c)),
          ),
        ),
        { minLength: 1, maxLength: 6 },
      ),
    )
    .map(([original, changes]) =>
      changes.reduce((now, [place, kind, character]) => {
        const at = now.length === 0 ? 0 : place % now.length;
        const skip = kind === 0 ? 0 : 1;
        return now.slice(0, at) + (kind === 2 ? '' : character) + now.slice(at + skip);
      }, original),
    );

/** Bytes of any kind, read as Latin-1. */
export const randomBytes: fc.Arbitrary<string> = fc
  .uint8Array({ maxLength: 200 })
  .map((bytes) => String.fromCharCode(...bytes));

/** Characters of G-code in any order. */
export const wordSoup: fc.Arbitrary<string> = fc
  .array(fc.constantFrom(...'GGGMXYZFSIJRNPTE00112233456789..--+ ()*;%/#[]$,\n\n'), { maxLength: 120 })
  .map((characters) => characters.join(''));

const kept = new Map<string, readonly string[]>();
function jobLines(name: string): readonly string[] {
  const lines = kept.get(name) ?? readFileSync(`src/demo/jobs/${name}.nc`, 'utf8').split('\n');
  kept.set(name, lines);
  return lines;
}

/** A stretch of one of the demo's jobs. */
export const trueJob = fc
  .tuple(fc.constantFrom('marker', 'marker-careful', 'sign'), fc.nat(), fc.integer({ min: 1, max: 60 }))
  .map(([name, from, count]) => {
    const lines = jobLines(name);
    const start = from % lines.length;
    return [...lines.slice(0, 12), ...lines.slice(start, start + count)].join('\n');
  });
