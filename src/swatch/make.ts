import type { Stock } from '../board.ts';
import type { Material } from '../burn/material.ts';
import { shippedMaterials } from '../burn/shipped.ts';
import { InputError } from '../errors.ts';
import type { Machine } from '../machine/profile.ts';
import { refuseUnknownOptions } from '../options.ts';
import { suggest } from '../suggest/suggest.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { codeOf, codeWidthMm, type SwatchCode } from './code.ts';
import { digitsWidthMm, type Point } from './digits.ts';
import { swatchGcode } from './gcode.ts';
import { type Givens, givensOf, wattsOf } from './givens.ts';
import { type Layout, layoutOn } from './layout.ts';
import {
  aloneSettings,
  cutSettings,
  labelSetting,
  ladderSettings,
  markSetting,
  type PatchSettings,
  patchSettings,
} from './part-settings.ts';
import type { Swatch } from './swatch.ts';

export interface SwatchOptions {
  /** The wood as far as it is known: settings are chosen around it. Default: poplar plywood. */
  readonly material?: Material;
}

export interface MadeSwatch {
  readonly swatch: Swatch;
  readonly gcode: string;
  /** What was decided or left out, in plain sentences. */
  readonly notes: readonly string[];
}

/**
 * Lays out a calibration piece for this machine on this board and writes its job. Everything lies inside the
 * stock, the beam-off runs too; engraving comes before cutting.
 *
 * @param stock mm, from the lower left corner in machine coordinates.
 * @returns the key, with all places in mm and speeds in mm/s, and the job as G-code.
 * @throws {InputError} when the board is too small or does not lie on the work area, or for an unknown option.
 */
export function makeSwatch(machine: Machine, stock: Stock, options: SwatchOptions = {}): MadeSwatch {
  refuseUnknownOptions(options, { material: true }, 'makeSwatch');
  const material = options.material ?? shippedMaterials['poplar plywood']!;
  const [workX, workY] = machine.work_area_mm;
  const givens = givensOf(machine, material);
  const layout = layoutOn(stock.widthMm, stock.heightMm);
  if (
    stock.xMm < 0 ||
    stock.yMm < 0 ||
    stock.xMm + layout.widthMm > workX ||
    stock.yMm + layout.heightMm > workY
  ) {
    throw new InputError(
      `found a swatch of ${layout.widthMm} × ${layout.heightMm} mm at ${stock.xMm}, ${stock.yMm}; ` +
        `expected one within the machine's work area of ${workX} × ${workY} mm`,
    );
  }
  const { thicknessMm } = stock;
  const patches = patchSettings(givens, layout.rows, layout.columns, layout.patchRoomMm, thicknessMm);
  const mark = markSetting(givens, layout.markRoomMm, thicknessMm);
  const label = labelSetting(givens);
  const cuts = thicknessMm === null ? null : cutSettings(givens, thicknessMm, layout.cuts.length);
  const lines = [
    ...ladder(givens, layout, 'x', layout.linesAlongX, layout.alongXMm, givens.acrossYMm),
    ...ladder(givens, layout, 'y', layout.linesAlongY, layout.alongYMm, givens.acrossXMm),
  ];
  const at = ([x, y]: Point): [number, number] => [micron(stock.xMm + x), micron(stock.yMm + y)];
  const uncoded: Swatch = {
    version: 1,
    machine,
    stock: {
      width_mm: stock.widthMm,
      height_mm: stock.heightMm,
      thickness_mm: thicknessMm,
      at_mm: [stock.xMm, stock.yMm],
    },
    chosen_for: material.name,
    area: { at_mm: [stock.xMm, stock.yMm], size_mm: [layout.widthMm, layout.heightMm] },
    row_spacing_mm: givens.rowSpacingMm,
    marks: {
      at_mm: layout.marks.map(at),
      radius_mm: layout.markRadiusMm,
      hole_radius_mm: layout.holeRadiusMm,
      speed_mm_s: feedStep(mark.speedMmPerS),
      s: mark.s,
    },
    patches: [
      ...patches.speedsMmPerS.flatMap((speed, row) =>
        patches.s.map((s, column) => ({
          n: row * layout.columns + column + 1,
          at_mm: at(layout.patchAt(column, row)),
          size_mm: [...layout.patchMm] as [number, number],
          speed_mm_s: feedStep(speed),
          s,
        })),
      ),
      ...aloneSettings(givens, patches, layout.aloneAt.length).map(({ speedMmPerS, s, passes }, k) => ({
        n: layout.rows * layout.columns + k + 1,
        at_mm: at(layout.aloneAt[k]!),
        size_mm: [...layout.patchMm] as [number, number],
        speed_mm_s: feedStep(speedMmPerS),
        s,
        alone: true as const,
        ...(passes > 1 ? { passes } : {}),
      })),
    ],
    lines: lines.map((line, k) => ({ ...line, n: k + 1, at_mm: at(line.at_mm) })),
    cuts: (cuts?.speedsMmPerS ?? []).map((speed, k) => ({
      n: k + 1,
      at_mm: at(layout.cuts[k]!),
      length_mm: layout.cutMm,
      speed_mm_s: feedStep(speed),
      s: cuts!.s,
      passes: cuts!.passes,
    })),
    labels: {
      height_mm: layout.labelMm,
      speed_mm_s: feedStep(label.speedMmPerS),
      s: label.s,
      items: labels(layout, patches, machine, cuts === null ? 0 : layout.cuts.length).map((each) => ({
        ...each,
        at_mm: at(each.at_mm),
      })),
    },
  };
  const swatch = { ...uncoded, code: codeIn(layout, codeOf(uncoded), at) };
  return { swatch, gcode: swatchGcode(swatch), notes: notesOn(swatch, thicknessMm, cuts === null) };
}

/**
 * That a swatch's cut lines will hardly come through, and why, by what `suggest` says of a cut; null where they will, and
 * where it has none. It asks for cuts on many such boards, which takes longer than the swatch itself.
 */
export function cutLinesDoubt(
  machine: Machine,
  material: Material,
  thicknessMm: number | null,
): string | null {
  if (thicknessMm === null) return null;
  const { impossible, hopeless } = suggest({ kind: 'cut' }, material, machine, { thicknessMm });
  const why = impossible ?? hopeless;
  return why && `Its cut lines may all stay uncut, and then tell nothing of removal. ${why}`;
}

function codeIn(layout: Layout, text: string, at: (place: Point) => [number, number]): SwatchCode {
  const [x, y] = layout.code;
  const code = { text, height_mm: layout.codeMm };
  return { ...code, at_mm: at([x - codeWidthMm(code) / 2, y - layout.codeMm / 2]) };
}

const micron = (mm: number): number => Math.round(mm * 1000) / 1000;

/** Feeds are written in whole mm/min below 100 mm/min to a tenth; what is written is what is meant. */
const feedStep = (mmPerS: number): number => {
  const feed = mmPerSToMmPerMin(mmPerS);
  return (feed < 100 ? Math.floor(feed * 10) / 10 : Math.floor(feed)) / 60;
};

function ladder(
  givens: Givens,
  layout: Layout,
  along: 'x' | 'y',
  places: readonly Point[],
  lengthMm: number,
  acrossMm: number,
) {
  const settings = ladderSettings(givens, acrossMm, places.length, layout.lineRoomMm);
  return places.map((place, k) => ({
    along,
    at_mm: place,
    length_mm: lengthMm,
    speed_mm_s: feedStep(settings[k]!.speedMmPerS),
    s: settings[k]!.s,
  }));
}

/** Power in percent of the S scale over each column, feed in mm/min beside each row, numbers over the cuts. */
function labels(layout: Layout, patches: PatchSettings, machine: Machine, cutCount: number) {
  const height = layout.labelMm;
  const over = ([x, y]: Point, text: string) => ({
    text,
    at_mm: [x - digitsWidthMm(text, height) / 2, y] as Point,
  });
  const [patchWidth, patchHeight] = layout.patchMm;
  const columns = patches.s.map((s, column) => {
    const [x, y] = layout.patchAt(column, 0);
    const text = String(Math.round((100 * s) / machine.laser.s_max));
    return over([x + patchWidth / 2, y + patchHeight + height / 2], text);
  });
  const rows = patches.speedsMmPerS.map((speed, row) => {
    const [x, y] = layout.patchAt(0, row);
    const text = String(Math.round(mmPerSToMmPerMin(feedStep(speed))));
    return {
      text,
      at_mm: [x - digitsWidthMm(text, height) - height / 2, y + (patchHeight - height) / 2] as Point,
    };
  });
  const cuts = layout.cuts
    .slice(0, cutCount)
    .map(([x, y], k) => over([x, y + layout.cutMm + height / 2], String(k + 1)));
  return [...columns, ...rows, ...cuts];
}

function notesOn(swatch: Swatch, thicknessMm: number | null, uncut: boolean): string[] {
  const notes: string[] = [];
  const { machine } = swatch;
  if (thicknessMm === null) {
    notes.push('The stock has no thickness, so the swatch has no cut lines; removal will not be fitted.');
  } else if (uncut) {
    notes.push(
      `This machine cannot be expected to cut ${thicknessMm} mm of ${swatch.chosen_for}, so the swatch has no cut lines; ` +
        'thinner stock would calibrate removal.',
    );
  }
  const alone = swatch.patches.filter((patch) => patch.alone);
  notes.push(
    alone.length > 0
      ? `Patches ${alone[0]!.n} to ${alone.at(-1)!.n}, the lowest row, have settings of others again, in short rows of their own, once and in several lighter passes: they tell what warmth saves and what a further firing costs.`
      : 'The board is too low for patches that tell what warmth saves and what a further firing costs: 50 mm would do.',
  );
  const tooWeak = swatch.patches.some(({ s }) => wattsOf(s, machine) <= 0);
  if (tooWeak) {
    notes.push(
      'The weakest column is so near the diode’s threshold that the controller rounds it to no light at all.',
    );
  }
  return notes;
}
