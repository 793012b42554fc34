import type { Stock } from '../board.ts';
import type { Material } from '../burn/material.ts';
import { shippedMaterials } from '../burn/shipped.ts';
import { BenchError } from '../errors.ts';
import type { Machine } from '../machine/profile.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { type Bench, benchOf, wattsOf } from './bench.ts';
import { digitsWidthMm, type Point } from './digits.ts';
import { swatchGcode } from './gcode.ts';
import { type Room, roomOn } from './room.ts';
import {
  cutSettings,
  labelSetting,
  ladderSettings,
  markSetting,
  type PatchSettings,
  patchSettings,
} from './settings.ts';
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
 * @throws {BenchError} when the board is too small or does not lie on the work area.
 */
export function makeSwatch(machine: Machine, stock: Stock, options: SwatchOptions = {}): MadeSwatch {
  const material = options.material ?? shippedMaterials['poplar plywood']!;
  const [workX, workY] = machine.work_area_mm;
  const bench = benchOf(machine, material);
  const room = roomOn(stock.widthMm, stock.heightMm);
  if (
    stock.xMm < 0 ||
    stock.yMm < 0 ||
    stock.xMm + room.widthMm > workX ||
    stock.yMm + room.heightMm > workY
  ) {
    throw new BenchError(
      `found a swatch of ${room.widthMm} × ${room.heightMm} mm at ${stock.xMm}, ${stock.yMm}; ` +
        `expected one within the machine's work area of ${workX} × ${workY} mm`,
    );
  }
  const { thicknessMm } = stock;
  const patches = patchSettings(bench, room.rows, room.columns, room.patchRoomMm, thicknessMm);
  const mark = markSetting(bench, room.markRoomMm, thicknessMm);
  const label = labelSetting(bench);
  const cuts = thicknessMm === null ? null : cutSettings(bench, thicknessMm, room.cuts.length);
  const lines = [
    ...ladder(bench, room, 'x', room.linesAlongX, room.alongXMm, bench.acrossYMm),
    ...ladder(bench, room, 'y', room.linesAlongY, room.alongYMm, bench.acrossXMm),
  ];
  const at = ([x, y]: Point): [number, number] => [micron(stock.xMm + x), micron(stock.yMm + y)];
  const swatch: Swatch = {
    version: 1,
    machine,
    stock: {
      width_mm: stock.widthMm,
      height_mm: stock.heightMm,
      thickness_mm: thicknessMm,
      at_mm: [stock.xMm, stock.yMm],
    },
    chosen_for: material.name,
    area: { at_mm: [stock.xMm, stock.yMm], size_mm: [room.widthMm, room.heightMm] },
    row_spacing_mm: bench.rowSpacingMm,
    marks: {
      at_mm: room.marks.map(at),
      radius_mm: room.markRadiusMm,
      hole_radius_mm: room.holeRadiusMm,
      speed_mm_s: feedStep(mark.speedMmPerS),
      s: mark.s,
    },
    patches: patches.speedsMmPerS.flatMap((speed, row) =>
      patches.s.map((s, column) => ({
        n: row * room.columns + column + 1,
        at_mm: at(room.patchAt(column, row)),
        size_mm: [...room.patchMm] as [number, number],
        speed_mm_s: feedStep(speed),
        s,
      })),
    ),
    lines: lines.map((line, k) => ({ ...line, n: k + 1, at_mm: at(line.at_mm) })),
    cuts: (cuts?.speedsMmPerS ?? []).map((speed, k) => ({
      n: k + 1,
      at_mm: at(room.cuts[k]!),
      length_mm: room.cutMm,
      speed_mm_s: feedStep(speed),
      s: cuts!.s,
      passes: cuts!.passes,
    })),
    labels: {
      height_mm: room.labelMm,
      speed_mm_s: feedStep(label.speedMmPerS),
      s: label.s,
      items: labels(room, patches, machine, cuts === null ? 0 : room.cuts.length).map((each) => ({
        ...each,
        at_mm: at(each.at_mm),
      })),
    },
  };
  return { swatch, gcode: swatchGcode(swatch), notes: notesOn(swatch, thicknessMm, cuts === null) };
}

const micron = (mm: number): number => Math.round(mm * 1000) / 1000;

/** Feeds are written in whole mm/min below 100 mm/min to a tenth; what is written is what is meant. */
const feedStep = (mmPerS: number): number => {
  const feed = mmPerSToMmPerMin(mmPerS);
  return (feed < 100 ? Math.floor(feed * 10) / 10 : Math.floor(feed)) / 60;
};

function ladder(
  bench: Bench,
  room: Room,
  along: 'x' | 'y',
  places: readonly Point[],
  lengthMm: number,
  acrossMm: number,
) {
  const settings = ladderSettings(bench, acrossMm, places.length, room.lineRoomMm);
  return places.map((place, k) => ({
    along,
    at_mm: place,
    length_mm: lengthMm,
    speed_mm_s: feedStep(settings[k]!.speedMmPerS),
    s: settings[k]!.s,
  }));
}

/** Power in percent of the S scale over each column, feed in mm/min beside each row, numbers over the cuts. */
function labels(room: Room, patches: PatchSettings, machine: Machine, cutCount: number) {
  const height = room.labelMm;
  const over = ([x, y]: Point, text: string) => ({
    text,
    at_mm: [x - digitsWidthMm(text, height) / 2, y] as Point,
  });
  const [patchWidth, patchHeight] = room.patchMm;
  const columns = patches.s.map((s, column) => {
    const [x, y] = room.patchAt(column, 0);
    const text = String(Math.round((100 * s) / machine.laser.s_max));
    return over([x + patchWidth / 2, y + patchHeight + height / 2], text);
  });
  const rows = patches.speedsMmPerS.map((speed, row) => {
    const [x, y] = room.patchAt(0, row);
    const text = String(Math.round(mmPerSToMmPerMin(feedStep(speed))));
    return {
      text,
      at_mm: [x - digitsWidthMm(text, height) - height / 2, y + (patchHeight - height) / 2] as Point,
    };
  });
  const cuts = room.cuts
    .slice(0, cutCount)
    .map(([x, y], k) => over([x, y + room.cutMm + height / 2], String(k + 1)));
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
  const tooWeak = swatch.patches.some(({ s }) => wattsOf(s, machine) <= 0);
  if (tooWeak) {
    notes.push(
      'The weakest column is so near the diode’s threshold that the controller rounds it to no light at all.',
    );
  }
  return notes;
}
