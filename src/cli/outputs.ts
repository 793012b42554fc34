import { existsSync } from 'node:fs';
import { basename, join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import type { ToneWish } from '../compare/tone-wish.ts';
import type { Forecast } from '../forecast.ts';
import type { BoardFace } from '../own-board/own-board.ts';
import { forecastPage } from '../page/forecast-page.ts';
import { closeUpsOf } from '../picture/close-ups.ts';
import { burnPictureOf, dosePictureOf } from '../picture/of-forecast.ts';
import { surePictureOf } from '../picture/sure-picture.ts';
import { type Report, reportOf } from '../report.ts';
import { drawSvg } from './draw-svg.ts';
import { npyOf } from './npy.ts';
import { encodePng } from './png.ts';

/** What `forecast` writes, by name. */
interface Outputs {
  readonly 'burn.png': Uint8Array;
  readonly 'dose.png': Uint8Array;
  readonly 'report.json': string;
  readonly 'dose.npy': Uint8Array;
  /** Where warmth was followed. */
  readonly 'warmth.npy'?: Uint8Array;
  /** Where it was asked for. */
  readonly 'sure.png'?: Uint8Array;
}
const OUTPUT_NAMES: readonly (keyof Outputs)[] = ['burn.png', 'dose.png', 'report.json', 'dose.npy'];

/** The names of what will be written. */
export const outputNames = (withWarmth: boolean, withHowSure: boolean): readonly string[] => [
  ...OUTPUT_NAMES,
  ...(withWarmth ? ['warmth.npy'] : []),
  ...(withHowSure ? ['sure.png'] : []),
];

/** The page that `--html` asks for. */
export const PAGE = 'report.html';

/** What stands in a folder from an earlier forecast and was not written anew: a sentence to say so; null: nothing. */
export function leftFromBefore(folder: string, written: readonly string[]): string | null {
  const names = written.map((path) => basename(path));
  const left = [...outputNames(true, true), PAGE].filter(
    (name) => !names.includes(name) && existsSync(join(folder, name)),
  );
  return left.length === 0
    ? null
    : `Left from an earlier forecast, not of this one: ${left.map((name) => join(folder, name)).join(', ')}`;
}

/** A PNG file as a data URI. */
export const dataUri = (png: Uint8Array): string =>
  `data:image/png;base64,${Buffer.from(png).toString('base64')}`;

/** A forecast as the page tells it, with its close-ups. */
export async function toldOnPage(name: string, forecast: Forecast, face: BoardFace | null = null) {
  const closeUps = closeUpsOf(forecast, face).map(
    async (picture) => picture && dataUri(await encodePng(picture)),
  );
  return { name, forecast, closeUps: await Promise.all(closeUps) };
}

/** The forecast as a page that a person can send to a friend, with the pictures that were made of it. */
export async function pageOf(
  forecast: Forecast,
  title: string,
  files: Outputs,
  face: BoardFace | null = null,
): Promise<string> {
  const { closeUps } = await toldOnPage(title, forecast, face);
  const sure = files['sure.png'];
  return forecastPage(forecast, title, {
    closeUps,
    burn: dataUri(files['burn.png']),
    dose: dataUri(files['dose.png']),
    ...(sure ? { sure: dataUri(sure) } : {}),
  });
}

/** What outputs hold besides the forecast. */
export interface Besides {
  /** Whether the map of how sure it is is asked for. */
  readonly howSure?: boolean | undefined;
  /** What the rows were meant to look like, where their S was set for it. */
  readonly wish?: ToneWish | null;
  /** A photo of the board, in the place of drawn wood. */
  readonly face?: BoardFace | null;
}

/**
 * The report with the whole run's timing.
 * @param startedMs when the run began; `besides`: what else took its time, ms.
 */
export function timedReport(
  forecast: Forecast,
  startedMs: number,
  wish: ToneWish | null,
  besides: Readonly<Record<string, number>> = {},
): Report {
  const report = reportOf(forecast, wish);
  const stages = { ...report.timing_ms, ...besides, total: performance.now() - startedMs };
  report.timing_ms = Object.fromEntries(
    Object.entries(stages).map(([stage, ms]) => [stage, Number(ms.toFixed(2))]),
  );
  return report;
}

/** The report with the whole run's timing, and the files to write. `startedMs`: when the run began. */
export async function outputsOf(
  forecast: Forecast,
  title: string,
  startedMs: number,
  { howSure = false, wish = null, face = null }: Besides = {},
): Promise<{ report: Report; files: Outputs }> {
  const paintedFrom = performance.now();
  const burn = encodePng(burnPictureOf(forecast, title, drawSvg, face));
  await setImmediate(); // lets the compression of one picture begin while the next is painted here
  const dose = encodePng(dosePictureOf(forecast, title, drawSvg));
  const sure = howSure ? encodePng(surePictureOf(forecast, title, drawSvg)) : null;
  const npy = npyOf(forecast.dose.grid);
  const [burnPng, dosePng, surePng] = await Promise.all([burn, dose, sure]);
  const report = timedReport(forecast, startedMs, wish, { pictures: performance.now() - paintedFrom });
  return {
    report,
    files: {
      'burn.png': burnPng,
      'dose.png': dosePng,
      'report.json': `${JSON.stringify(report, null, 2)}\n`,
      'dose.npy': npy,
      ...(surePng ? { 'sure.png': surePng } : {}),
      ...(forecast.firings ? { 'warmth.npy': npyOf(forecast.firings.warmth) } : {}),
    },
  };
}
