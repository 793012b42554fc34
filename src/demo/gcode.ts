import { minus, type Point } from './geometry.ts';

/**
 * The last step of the generator: what the machine shall do, as plain data, written out as G-code text.
 * Words that still hold are left out and numbers carry no needless digits, as in real programs.
 */

export interface LineBlock {
  readonly do: 'line';
  readonly toMm: Point;
  readonly s: number;
  readonly feedMmPerMin: number;
}

interface ArcBlock {
  readonly do: 'arc';
  readonly toMm: Point;
  readonly centreMm: Point;
  readonly clockwise: boolean;
  readonly s: number;
  readonly feedMmPerMin: number;
}

export type Block =
  | { readonly do: 'say'; readonly text: string }
  /** M3 (constant power) or M4 (proportional power); the beam waits for an S above 0. */
  | { readonly do: 'arm'; readonly power: 'constant' | 'proportional' }
  | { readonly do: 'disarm' }
  /** A rapid. */
  | { readonly do: 'travel'; readonly toMm: Point }
  | LineBlock
  | ArcBlock;

/** A micrometre is finer than any hobby machine steps; `+ 0` turns −0 into 0. */
const written = (value: number): string => String(Math.round(value * 1000) / 1000 + 0);

/** The whole program: the heading as comments, mm and absolute distances, the blocks, end. */
export function gcode(heading: readonly string[], blocks: Iterable<Block>): string {
  const lines = [...heading.map((text) => `; ${text}`), 'G21 G90'];
  /** The word that holds for each letter. */
  const modal = new Map<string, string>();
  const isNew = (word: string) => modal.get(word[0]!) !== word;
  let headMm: Point = [0, 0];

  for (const block of blocks) {
    switch (block.do) {
      case 'say':
        lines.push(`; ${block.text}`);
        break;
      case 'arm':
        lines.push(`${block.power === 'constant' ? 'M3' : 'M4'} S0`);
        modal.set('S', 'S0');
        break;
      case 'disarm':
        lines.push('M5');
        break;
      default: {
        const words = [
          motionWord(block),
          ...axisWords(block.toMm),
          ...centreWords(block, headMm),
          ...powerWords(block),
        ];
        const due = words.filter((word) => isNew(word) || mustBeSaid(block, word));
        if (!due.some(isPlaceWord)) break; // the head is there already
        lines.push(due.join(' '));
        for (const word of words) modal.set(word[0]!, word);
        headMm = block.toMm;
      }
    }
  }
  lines.push('M2');
  return lines.join('\n') + '\n';
}

type Motion = Exclude<Block, { do: 'say' | 'arm' | 'disarm' }>;

function motionWord(block: Motion): string {
  if (block.do === 'travel') return 'G0';
  if (block.do === 'line') return 'G1';
  return block.clockwise ? 'G2' : 'G3';
}

const axisWords = ([xMm, yMm]: Point): string[] => [`X${written(xMm)}`, `Y${written(yMm)}`];

/** From the arc's start to its centre. */
function centreWords(block: Motion, headMm: Point): string[] {
  if (block.do !== 'arc') return [];
  const [iMm, jMm] = minus(block.centreMm, headMm);
  return [`I${written(iMm)}`, `J${written(jMm)}`];
}

const powerWords = (block: Motion): string[] =>
  block.do === 'travel' ? [] : [`S${written(block.s)}`, `F${written(block.feedMmPerMin)}`];

const isPlaceWord = (word: string): boolean => /^[XYIJ]/.test(word);

/** An arc's centre holds for that arc only, and a circle that ends where it began still needs its end. */
const mustBeSaid = (block: Motion, word: string): boolean => block.do === 'arc' && isPlaceWord(word);
