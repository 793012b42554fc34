import { isEmptyBounds } from '../grid.ts';
import { MM_PER_INCH } from '../units.ts';
import { numberWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/** Sizes this close, as a part or in mm, are the same: a drawing's lines have a width of their own. */
const SAME = 0.01;
const SAME_MM = 0.5;

/**
 * The slips that give a job a wrong size, by what they multiply it with. A picture of d dots per inch has dots of
 * 25.4/d mm; 72, 90 and 96 are the usual d.
 */
const SLIPS: readonly (readonly [factor: number, words: string])[] = [
  [1 / MM_PER_INCH, 'inches were taken for millimetres'],
  [MM_PER_INCH, 'millimetres were taken for inches'],
  ...[72, 90, 96].flatMap((drawn) =>
    [72, 90, 96]
      .filter((read) => read !== drawn)
      .map((read) => [drawn / read, `${drawn} dots per inch were read as ${read}`] as const),
  ),
  ...[72, 90, 96].map(
    (drawn) => [drawn / MM_PER_INCH, `dots of ${drawn} to the inch were taken for millimetres`] as const,
  ),
  ...[72, 90, 96].map(
    (read) => [MM_PER_INCH / read, `millimetres were taken for dots of ${read} to the inch`] as const,
  ),
  [2, 'it was scaled twice'],
  [1 / 2, 'it was halved'],
];

/** A burn that stays within this both ways is smaller than nearly all that people burn (a judgement). */
const TINY_MM = 5;

/**
 * `wrong-size`: the burn's size is not the expected one; names the slip that explains the ratio. Where none was said, a
 * note on a tiny one that fits the bed in inches.
 */
export function findWrongSize(evidence: Evidence): Finding[] {
  const { burnBounds, expectMm, program } = evidence;
  if (isEmptyBounds(burnBounds)) return [];
  if (!expectMm) return findTiny(evidence);
  const width = burnBounds.maxXMm - burnBounds.minXMm;
  const height = burnBounds.maxYMm - burnBounds.minYMm;
  if (same(width, expectMm.widthMm) && same(height, expectMm.heightMm)) return [];
  const across = width / expectMm.widthMm;
  const up = height / expectMm.heightMm;
  const { why, remedy } = explain(width, height, expectMm.widthMm, expectMm.heightMm);
  return [
    {
      kind: 'wrong-size',
      severity: 'stop',
      line: program.operations[0]?.lines[0] ?? 0,
      atMm: [round(burnBounds.minXMm, 3), round(burnBounds.minYMm, 3)],
      operation: null,
      message:
        `The burn measures ${numberWords(width, 4)} × ${numberWords(height, 4)} mm, not the ` +
        `${numberWords(expectMm.widthMm, 4)} × ${numberWords(expectMm.heightMm, 4)} mm expected: ${why}.`,
      remedy,
      measure: {
        width_mm: round(width),
        height_mm: round(height),
        expected_mm: [expectMm.widthMm, expectMm.heightMm],
        ratio_x: round(across),
        ratio_y: round(up),
      },
    },
  ];
}

function findTiny({ burnBounds, program, machine }: Evidence): Finding[] {
  const width = burnBounds.maxXMm - burnBounds.minXMm;
  const height = burnBounds.maxYMm - burnBounds.minYMm;
  const [bedWidth, bedHeight] = machine.work_area_mm;
  const isLikely =
    program.mmPerUnit === 1 &&
    Math.min(width, height) > 0 &&
    Math.max(width, height) < TINY_MM &&
    burnBounds.maxXMm * MM_PER_INCH <= bedWidth &&
    burnBounds.maxYMm * MM_PER_INCH <= bedHeight;
  if (!isLikely) return [];
  const size = (by: number) => `${numberWords(width * by, 3)} × ${numberWords(height * by, 3)} mm`;
  return [
    {
      kind: 'wrong-size',
      severity: 'note',
      line: program.operations[0]?.lines[0] ?? 0,
      atMm: [round(burnBounds.minXMm, 3), round(burnBounds.minYMm, 3)],
      operation: null,
      message: `The whole burn measures ${size(1)}. Were its numbers meant in inches? It would be ${size(MM_PER_INCH)} then.`,
      remedy:
        'If so, write G20 instead of G21 at the beginning; if it is meant to be so small, nothing needs to change.',
      measure: { width_mm: round(width), height_mm: round(height) },
    },
  ];
}

const same = (mm: number, expectedMm: number): boolean =>
  Math.abs(mm - expectedMm) <= Math.max(SAME_MM, SAME * expectedMm);

const isFactor = (ratio: number, factor: number): boolean => Math.abs(ratio / factor - 1) <= SAME;

function explain(
  width: number,
  height: number,
  wantedWidth: number,
  wantedHeight: number,
): { why: string; remedy: string } {
  const across = width / wantedWidth;
  const up = height / wantedHeight;
  if (across === 0 || up === 0) {
    return {
      why: 'it is one straight line',
      remedy: 'Look for strokes that are missing, or whose power is 0.',
    };
  }
  const slip = SLIPS.find(([factor]) => isFactor(across, factor) && isFactor(up, factor));
  if (slip) {
    const [factor, words] = slip;
    const scale = numberWords(1 / factor, 4);
    return {
      why: `it is ${numberWords(factor, 4)} times its size, which means that ${words}`,
      remedy: `Set the right unit where the job was made, or scale it by ${scale}.`,
    };
  }
  if (same(width, wantedHeight) && same(height, wantedWidth)) {
    return {
      why: 'it lies turned by a quarter',
      remedy: 'Turn the drawing by 90°, or give the size the other way round.',
    };
  }
  if (isFactor(across / up, 1)) {
    const scale = numberWords(Math.sqrt((1 / across) * (1 / up)), 4);
    return {
      why: `it is ${numberWords(100 * Math.sqrt(across * up), 3)} % of its size, which no usual slip explains`,
      remedy: `Scale it by ${scale}.`,
    };
  }
  return {
    why: `${numberWords(100 * across, 3)} % of the width and ${numberWords(100 * up, 3)} % of the height, so it is stretched or a part is missing or too many`,
    remedy: `Scale it by ${numberWords(1 / across, 4)} across and ${numberWords(1 / up, 4)} up, or look for strokes that do not belong.`,
  };
}
