/** Small jobs whose settings a test turns, told in the few numbers that matter. */

interface Stroke {
  readonly s: number;
  readonly feed: number;
  /** M3 or M4. */
  readonly mode?: string;
}

export const HEAD = 'G21 G90\n';
export const END = 'M5\nM2\n';
const head = (mode = 'M4') => `${HEAD}${mode} S0\n`;

/** One line of 30 mm along x, with a run-up and a run-out of 15 mm. */
export const line = ({ s, feed, mode }: Stroke): string =>
  `${head(mode)}G0 X5 Y10\nG1 X20 F${feed}\nX50 S${s}\nX65 S0\n${END}`;

/** A line of `mm` in pieces of a tenth of a millimetre. */
export const pieces = (mm: number, s: number, feed: number): string =>
  `${head()}G0 X5 Y10\n${Array.from({ length: mm * 10 }, (_, k) => `G1 X${(5 + (k + 1) / 10).toFixed(1)} S${s} F${feed}\n`).join('')}${END}`;

/** One corner of a right angle between two lines that are at speed at their far ends. */
export const hook = `${head('M3')}G0 X5 Y10\nG1 X20 F3000\nX50 S400\nY40\nY55 S0\n${END}`;

/** Two lines that meet at six degrees, at speed at their far ends: what the first leaves warms the second. */
export const sharpHook = (() => {
  const [cos, sin] = [Math.cos(Math.PI / 30), Math.sin(Math.PI / 30)];
  const back = (mm: number) => `X${(50 - mm * cos).toFixed(3)} Y${(10 + mm * sin).toFixed(3)}`;
  return `${head('M3')}G0 X5 Y10\nG1 X20 F3000\nX50 S400\n${back(30)}\n${back(45)} S0\n${END}`;
})();

/** A square of `side` mm from (10, 10), burned from corner to corner. */
export const square = ({
  s,
  feed,
  mode,
  side = 30,
  passes = 1,
}: Stroke & { side?: number; passes?: number }): string =>
  `${head(mode)}G0 X10 Y10\n${`G1 X${10 + side} S${s} F${feed}\nY${10 + side}\nX10\nY10\n`.repeat(passes)}${END}`;

/**
 * Rows of 20 mm, 0.1 mm apart, there and back.
 * @param levels S of the pieces of half a millimetre, from left to right.
 * @param overMm overscan; 0: none.
 */
export function rows(
  levels: readonly number[],
  feed: number,
  overMm: number,
  mode = 'M4',
  count = 20,
): string {
  const left = 20;
  const right = left + levels.length / 2;
  const lines = [head(mode).trim()];
  for (let k = 0; k < count; k++) {
    const back = k % 2 === 1;
    const [from, to] = back ? [right, left] : [left, right];
    const over = back ? -overMm : overMm;
    lines.push(`${k === 0 ? 'G0' : 'G1'} X${from - over} Y${(10 + k / 10).toFixed(1)} S0`);
    if (overMm > 0) lines.push(`G1 X${from} F${feed}`);
    const ordered = back ? [...levels].reverse() : levels;
    const step = Math.sign(to - from) * 0.5;
    lines.push(...ordered.map((s, i) => `G1 X${from + (i + 1) * step} S${s} F${feed}`));
    if (overMm > 0) lines.push(`X${to + over} S0`);
  }
  return `${lines.join('\n')}\n${END}`;
}

/** A small fill of rows to and fro from (20, 10), with overscan enough. */
export function fill({ widthMm, heightMm, s, feed = 3000, apartMm = 0.1 }: Fill): string {
  const lines = [head().trim()];
  for (let row = 0; row * apartMm < heightMm - 1e-9; row++) {
    const [from, to, over] = row % 2 === 0 ? [20, 20 + widthMm, 3] : [20 + widthMm, 20, -3];
    lines.push(
      `G0 X${from! - over!} Y${(10 + row * apartMm).toFixed(2)}`,
      `G1 X${from} F${feed} S0`,
      `X${to} S${s}`,
      `X${to! + over!} S0`,
    );
  }
  return `${lines.join('\n')}\n${END}`;
}

interface Fill {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly s: number;
  readonly feed?: number;
  readonly apartMm?: number;
}

/** Levels that rise evenly from `from` to `to`. */
export const ramp = (from: number, to: number, count = 40): number[] =>
  Array.from({ length: count }, (_, k) => Math.round(from + ((to - from) * (k + 0.5)) / count));

/** Letters of straight strokes, 10 mm high, in pieces of a tenth of a millimetre. */
export function text({ s, feed, mode }: Stroke): string {
  const letters = [
    '10,10 10,20 14,14 18,20 18,10',
    '22,10 26,20 30,10',
    '34,20 42,20 34,10 42,10',
    '46,10 46,20 52,20 52,10',
  ];
  const lines = letters.flatMap((letter) => {
    const points = letter.split(' ').map((point) => point.split(',').map(Number) as [number, number]);
    return points.flatMap(([x, y], k) => {
      if (k === 0) return [`G0 X${x} Y${y}`];
      const [x0, y0] = points[k - 1]!;
      const pieces = Math.round(Math.hypot(x - x0, y - y0) * 10);
      return Array.from({ length: pieces }, (_, n) => {
        const part = (n + 1) / pieces;
        return `G1 X${(x0 + (x - x0) * part).toFixed(3)} Y${(y0 + (y - y0) * part).toFixed(3)} S${s} F${feed}`;
      });
    });
  });
  return `${head(mode)}${lines.join('\n')}\n${END}`;
}
