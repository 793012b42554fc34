import { interpolatePuOr } from 'd3-scale-chromatic';
import type { Burn } from '../burn/burn.ts';
import { type Bounds, isEmptyBounds } from '../grid.ts';
import { grown } from '../nearby.ts';
import { boardText, guessBlock, headingBlock, notesBlock, scaleBarBlock, titleBlock } from './blocks.ts';
import { type BurnPictureOptions, PICTURE_DEFAULTS } from './burn-picture.ts';
import { type ColourScale, coloured } from './heat.ts';
import { legendBlock, type Patch } from './legend.ts';
import type { DrawSvg, Picture, Rgb } from './picture.ts';
import { rangeOf } from './range.ts';
import { resample } from './resample.ts';
import { composeSheet, fontPxFor, type Panel } from './sheet.ts';
import { channelsOf, colourTable } from './tone.ts';
import { type View, viewOver } from './view.ts';
import { woodRaster } from './wood.ts';

/** What the two are called: a file's name, or what was changed. */
interface PairNames {
  readonly nameA: string;
  readonly nameB: string;
  /** What both were meant to look like; it stands before them. */
  readonly wish?: Burn | null;
}

/** Less in B, violet … equal, nearly white … more in B, orange: a pair that colour-blind eyes tell apart. */
export const differenceTable = (): Float32Array => colourTable((t) => channelsOf(interpolatePuOr(t)), 1025);

/** Where only one of the two is cut through. */
const CUT_IN_A: Rgb = [43, 36, 30];
const CUT_IN_B: Rgb = [19, 110, 98];
/** A scale of differences in tone ends at one of these. */
const TONE_ENDS = [0.1, 0.2, 0.5, 1] as const;
/** A smaller difference in tone is none to the eye: half a step of L*. */
const TONE_SEEN_FROM = 0.01;

/**
 * Two burns of the same board at one scale, in one tone map and on the same grain, and the difference in
 * tone between them (B − A) on a diverging scale centred on equal. Wide boards stand one under another,
 * others side by side.
 *
 * @throws {RangeError} for a stock without a size, or a tone path that is none.
 */
export function comparePicture(
  a: Burn,
  b: Burn,
  options: BurnPictureOptions & PairNames,
  drawSvg: DrawSvg,
): Picture {
  const {
    stock,
    title,
    nameA,
    nameB,
    wish = null,
    notes = [],
    guess = null,
    stockThicknessMm = null,
  } = options;
  const { longSidePx, tonePath, grain } = { ...PICTURE_DEFAULTS, ...options };
  const fontPx = fontPxFor(longSidePx);
  const flow = panelFlow(stock);
  const view = viewOver(stock, a.frame, panelLongSidePx(stock, longSidePx));
  const difference = differenceOf(resample(a.tone, a.frame, view), resample(b.tone, b.frame, view));
  const { top, max } = rangeOf(difference.map(Math.abs), TONE_SEEN_FROM);
  const end = max === 0 ? TONE_ENDS[0] : (TONE_ENDS.find((tone) => tone >= top) ?? 1);
  const remarks = max < TONE_SEEN_FROM ? ['The two come out in the same tone everywhere.'] : [];
  const scale: ColourScale = { from: -end, to: end, table: differenceTable(), bendAt: null };
  const map = coloured(difference, view, scale);
  const patches = markCuts(map, a, b, view);
  const board = (burn: Burn, letter: string, name: string): Panel => ({
    raster: woodRaster(burn, view, tonePath, grain),
    view,
    look: 'board',
    heading: headingBlock(letter, name, fontPx),
  });
  const panels: Panel[] = [
    ...(wish ? [board(wish, 'Meant', 'what the rows are to show')] : []),
    board(a, 'A', nameA),
    board(b, 'B', nameB),
    { raster: map, view, look: 'map', heading: headingBlock('B − A', 'difference in tone', fontPx) },
  ];
  const caption = 'tone, B − A (bare wood 0, char 1)';
  const words = ['burned less in B', 'equal', 'burned more in B'] as const;
  return composeSheet(
    {
      fontPx,
      title: titleBlock(title, `two burns compared, board ${boardText(stock, stockThicknessMm)}`, fontPx),
      panels,
      panelFlow: flow,
      footer: {
        key: [scaleBarBlock(view.pxPerMm, fontPx), legendBlock({ scale, caption, patches, words }, fontPx)],
        text: [guessBlock(guess, fontPx), notesBlock([...remarks, ...notes], fontPx)],
      },
    },
    drawSvg,
  );
}

/** B − A, in place of A. */
function differenceOf(a: Float32Array, b: Float32Array): Float32Array {
  for (let k = 0; k < a.length; k++) a[k] = b[k]! - a[k]!;
  return a;
}

/** Where both are cut through, a kerf may be wider in one: so near to it nothing is cut in one alone. */
const KERF_MM = 0.3;

/** Paints over the map where one burn is cut through and the other is not, and says so in the legend. */
function markCuts(map: Picture, a: Burn, b: Burn, view: View): Patch[] {
  if (a.through === null || b.through === null) return [];
  const [inBoth, inB] = [resample(a.through, a.frame, view), resample(b.through, b.frame, view)];
  const cut = new Float32Array(inB.length);
  for (let k = 0; k < cut.length; k++) {
    cut[k] = inB[k]! - inBoth[k]!;
    inBoth[k] = Math.min(inBoth[k]!, inB[k]!);
  }
  const isCutInBoth = Uint8Array.from(inBoth, (share) => (share >= SEEN_CUT ? 1 : 0));
  const size = { nx: view.widthPx, ny: view.heightPx };
  const near = grown(isCutInBoth, size, Math.ceil(KERF_MM * view.pxPerMm));
  let onlyA = false;
  let onlyB = false;
  for (let k = 0; k < cut.length; k++) {
    const share = Math.min(1, Math.abs(cut[k]!));
    if (share < SEEN_CUT || near[k] === 1) continue;
    const colour = cut[k]! < 0 ? CUT_IN_A : CUT_IN_B;
    if (cut[k]! < 0) onlyA = true;
    else onlyB = true;
    for (let c = 0; c < 3; c++) map.data[k * 4 + c] = (1 - share) * map.data[k * 4 + c]! + share * colour[c]!;
  }
  const patches: Patch[] = [];
  if (onlyA) patches.push({ colour: `rgb(${CUT_IN_A.join(', ')})`, meaning: 'cut through in A only' });
  if (onlyB) patches.push({ colour: `rgb(${CUT_IN_B.join(', ')})`, meaning: 'cut through in B only' });
  return patches;
}

/** A pixel counts as cut from this part of it on. */
const SEEN_CUT = 0.02;

/** Boards much wider than high go one under another. */
export function panelFlow(stock: Bounds): 'row' | 'column' {
  return !isEmptyBounds(stock) && aspect(stock) >= 1.8 ? 'column' : 'row';
}

const aspect = (stock: Bounds): number => (stock.maxXMm - stock.minXMm) / (stock.maxYMm - stock.minYMm);

/** Three panels together are to be about as large as one and a half boards alone. */
export function panelLongSidePx(stock: Bounds, longSidePx: number): number {
  if (panelFlow(stock) === 'column') return longSidePx * 0.9;
  const half = longSidePx * 0.5;
  return Math.max(16, Math.min(longSidePx * 0.9, half / Math.min(1, aspect(stock))));
}
