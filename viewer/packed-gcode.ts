/**
 * The demo's jobs take the most room in the page that is one file. Packed, each number is told by how far it is from
 * the one before of the same letter, in thousandths: neighbours in a raster differ by the same few steps, so that what
 * compresses a page finds them alike.
 */

const PER_UNIT = 1000;
const WORDS = /([XYSIJF])(-?\d+(?:\.\d+)?)/g;

/** G-code packed; null where unpacking would not give back every byte of it. */
export function packed(text: string): string | null {
  const short = eachNumber(text, (number, before) => {
    const now = Math.round(Number(number) * PER_UNIT);
    return { shown: String(now - before), now };
  });
  return unpacked(short) === text ? short : null;
}

/** The inverse of {@link packed}. */
export const unpacked = (text: string): string =>
  eachNumber(text, (step, before) => {
    const now = before + Number(step);
    return { shown: String(now / PER_UNIT), now };
  });

function eachNumber(
  text: string,
  change: (number: string, before: number) => { readonly shown: string; readonly now: number },
): string {
  const before = new Map<string, number>();
  return text
    .split('\n')
    .map((line) =>
      line.startsWith(';')
        ? line
        : line.replace(WORDS, (_word, letter: string, number: string) => {
            const { shown, now } = change(number, before.get(letter) ?? 0);
            before.set(letter, now);
            return letter + shown;
          }),
    )
    .join('\n');
}
