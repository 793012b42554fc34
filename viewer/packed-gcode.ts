/**
 * The demo's jobs take the most room in the page that is one file. Packed, each number is told by how far it is from
 * the one before of the same letter, in thousandths, and the steps of each letter stand together, after the text
 * without its numbers. A raster has few different steps, so the commonest are one sign each: what compresses a page
 * gives the commoner ones fewer bits.
 */

const PER_UNIT = 1000;
const WORDS = /([XYSIJF])(-?\d+(?:\.\d+)?)/g;
/** The signs for steps: all that need no escape in a string, without those that mean something here. */
const SIGNS = Array.from({ length: 94 }, (_, k) => String.fromCharCode(33 + k)).filter(
  (sign) => !'"\'`\\$~,'.includes(sign),
);
/** Around steps that have no sign of their own. */
const SPELLED = '~';

/** G-code packed; null where unpacking would not give back every byte of it. */
export function packed(text: string): string | null {
  const steps = new Map<string, number[]>();
  const before = new Map<string, number>();
  const bare = eachWord(text, (letter, number) => {
    const now = Math.round(Number(number) * PER_UNIT);
    const of = steps.get(letter) ?? [];
    of.push(now - (before.get(letter) ?? 0));
    steps.set(letter, of);
    before.set(letter, now);
    return `${letter}0`;
  });
  const columns = [...steps].flatMap(([letter, of]) => {
    const common = commonest(of);
    return [`${letter}${common.join(',')}`, signed(of, common)];
  });
  const short = [columns.length, ...columns, bare].join('\n');
  return unpacked(short) === text ? short : null;
}

/** The inverse of {@link packed}. */
export function unpacked(short: string): string {
  const [count, ...lines] = short.split('\n');
  const columns = lines.slice(0, Number(count));
  const steps = new Map<string, Generator<number>>();
  for (let k = 0; k < columns.length; k += 2) {
    const common = columns[k]!.slice(1).split(',').map(Number);
    steps.set(columns[k]![0]!, stepsOf(columns[k + 1]!, common));
  }
  const before = new Map<string, number>();
  return eachWord(lines.slice(Number(count)).join('\n'), (letter) => {
    const now = (before.get(letter) ?? 0) + Number(steps.get(letter)?.next().value);
    before.set(letter, now);
    return letter + now / PER_UNIT;
  });
}

const eachWord = (text: string, change: (letter: string, number: string) => string): string =>
  text
    .split('\n')
    .map((line) =>
      line.startsWith(';')
        ? line
        : line.replace(WORDS, (_word, letter: string, number: string) => change(letter, number)),
    )
    .join('\n');

function commonest(steps: readonly number[]): number[] {
  const counts = new Map<number, number>();
  for (const step of steps) counts.set(step, (counts.get(step) ?? 0) + 1);
  return [...counts]
    .sort(([, a], [, b]) => b - a)
    .slice(0, SIGNS.length)
    .map(([step]) => step);
}

function signed(steps: readonly number[], common: readonly number[]): string {
  const signs = new Map(common.map((step, k) => [step, SIGNS[k]!]));
  return steps
    .map((step) => signs.get(step) ?? `${SPELLED}${step}${SPELLED}`)
    .join('')
    .replaceAll(SPELLED + SPELLED, ',');
}

function* stepsOf(column: string, common: readonly number[]): Generator<number> {
  const values = new Map(SIGNS.map((sign, k) => [sign, common[k]!]));
  for (const [k, part] of column.split(SPELLED).entries()) {
    if (k % 2 === 1) yield* part.split(',').map(Number);
    else for (const sign of part) yield values.get(sign)!;
  }
}
