import { basename } from 'node:path';
import type { Command } from 'commander';
import { guessNote } from '../../burn/guesses.ts';
import { ROW_MM, type Use } from '../../burn/speed-power.ts';
import { type Chart, type ChartPanel, chartOf } from '../../chart/chart.ts';
import type { Polyline } from '../../chart/curves.ts';
import { chartNotes, panelSentence, pointSentence, showsCut } from '../../chart/notes.ts';
import { type ChartPoint, pointsOf } from '../../chart/points.ts';
import { usualRowSpacingMm } from '../../chart/row-spacing.ts';
import { InputError } from '../../errors.ts';
import { readOptions } from '../../forecast.ts';
import { addAll } from '../../lists.ts';
import type { Machine } from '../../machine/profile.ts';
import { planMotion } from '../../motion/plan.ts';
import { chartPicture } from '../../picture/chart-picture.ts';
import { tonePathOf } from '../../picture/tone.ts';
import { readProgram } from '../../program/read.ts';
import { SURE } from '../../sure/come-through.ts';
import { mmPerSToMmPerMin } from '../../units.ts';
import { numberWords } from '../../words.ts';
import { addSureOption, readSure } from '../checks.ts';
import type { CommandContext } from '../context.ts';
import { drawSvg } from '../draw-svg.ts';
import { readChunks } from '../files.ts';
import { encodePng } from '../png.ts';
import { addBenchOptions, addFeedOption, readNumber, readSetup } from '../setup.ts';
import { CAUTION, titled, wrap } from '../summary.ts';
import {
  addThicknessOption,
  addUseOptions,
  readRowLength,
  readRowSpacing,
  readThickness,
  refuseRowsOfLine,
  useJson,
  type WorkWords,
} from '../work.ts';
import { checkOutputFile, writeFile, writtenLines } from '../write-files.ts';

interface ChartWords extends WorkWords {
  readonly passes: string;
  readonly out: string;
  readonly sure?: string;
  readonly json?: boolean;
}

/** More operations than this are told by number on the chart alone. */
const MOST_SENTENCES = 8;

export function addChart(root: Command, { terminal }: CommandContext): void {
  const command = root
    .command('chart')
    .argument('[job]', 'a G-code file whose operations to show')
    .description('draw what every speed and power does to the wood, with the operations of a job on it');
  addSureOption(addThicknessOption(addFeedOption(addBenchOptions(command))));
  addUseOptions(
    command,
    'show filled areas or single lines (default: both, or what the job has)',
    'the job’s, or from the spot’s width',
    `the job’s, or ${ROW_MM}`,
  )
    .option('--passes <n>', 'how many times the same path is burned', '1')
    .option('-o, --out <file>', 'the picture to write', 'chart.png')
    .option('--json', 'print edges, curves and operations as JSON as well as the picture, and no sentences')
    .action(async (job: string | undefined, words: ChartWords) => {
      if (words.for === 'line') refuseRowsOfLine(words, '--for line');
      const { machine, material, stock, feedMmPerS, inputs, notes } = readSetup(words);
      const thickness = readThickness(words.thickness, stock);
      const sure = readSure(words.sure) ?? SURE;
      const passes = readNumber('--passes', words.passes, 1, 100, 'a whole number');
      if (!Number.isInteger(passes))
        throw new InputError(`found --passes ${words.passes}; expected a whole number from 1 to 100`);
      const rules = { inputs: [...(job === undefined ? [] : [job]), ...inputs] };
      checkOutputFile(words.out, rules);
      const setup = { machine, material, ...thickness };
      const points =
        job === undefined
          ? []
          : jobPoints(job, { ...setup, ...readRowLength(words.rowLength), feedMmPerS, sure }, words.for);
      const chart = chartOf({ ...setup, passes }, usesOf(words, machine, points), points, sure);
      const said = points.slice(0, MOST_SENTENCES).map(pointSentence);
      if (points.length > MOST_SENTENCES)
        said.push(`… and ${points.length - MOST_SENTENCES} more operations.`);
      const guess = guessNote(material);
      const seen = [...notes, ...chartNotes(chart)];
      const remarks = guess === null ? seen : [...seen, guess];
      const title = `Speed and power on ${material.name}`;
      const about = aboutWords(machine, thickness.thicknessMm, job);
      const picture = chartPicture(
        chart,
        { title, about, operations: said, notes: seen, tonePath: tonePathOf(material) },
        drawSvg,
      );
      const png = await encodePng(picture);
      const written = writtenLines([words.out], () => [writeFile(words.out, png, rules)]);
      if (words.json) {
        terminal.out(JSON.stringify(chartJson(chart, remarks), null, 2));
        return;
      }
      const lines = [`${title}, ${about}`, ''];
      for (const panel of chart.panels) lines.push(...wrap(panelSentence(panel), '', '  '));
      addAll(lines, titled('Operations, in the order burned', said));
      addAll(lines, titled('Good to know', remarks));
      if (chart.panels.some(showsCut)) lines.push('', ...wrap(CAUTION, '', ''));
      terminal.out([...lines, '', ...written].join('\n'));
    });
}

function jobPoints(
  job: string,
  setup: Parameters<typeof pointsOf>[1] & { readonly feedMmPerS: number | null; readonly sure: number },
  only: Use['kind'] | undefined,
): ChartPoint[] {
  try {
    const program = readProgram(readChunks(job), readOptions(setup.machine, setup.feedMmPerS));
    const motion = planMotion(program, { ...setup.machine, link: null });
    const points = pointsOf(program, { ...setup, motion }, setup.sure).filter(
      ({ work }) => only === undefined || work.use.kind === only,
    );
    if (points.length === 0)
      throw new InputError(
        `found nothing that burns${only ? ` in ${only === 'rows' ? 'rows' : 'lines'}` : ''}; expected at least one operation to show`,
      );
    return points;
  } catch (error) {
    throw error instanceof InputError ? error.from(job) : error;
  }
}

/** What to show besides what the job's operations need. */
function usesOf(
  { rows, rowLength, for: only }: ChartWords,
  machine: Machine,
  points: readonly ChartPoint[],
): Use[] {
  const spacing = rows === undefined ? null : readRowSpacing(rows);
  const inRows: Use = {
    kind: 'rows',
    rowSpacingMm: spacing ?? usualRowSpacingMm(machine.spot),
    ...readRowLength(rowLength),
  };
  if (points.length > 0) return spacing !== null && only !== 'line' ? [inRows] : [];
  if (only === 'line') return [{ kind: 'line' }];
  return only === 'rows' ? [inRows] : [inRows, { kind: 'line' }];
}

function aboutWords(machine: Machine, thicknessMm: number | null, job: string | undefined): string {
  const { optical_power_w: watts, wavelength_nm: nm } = machine.laser;
  const parts = [
    thicknessMm === null ? 'thickness not given' : `${numberWords(thicknessMm)} mm thick`,
    `${machine.name}, ${numberWords(watts)} W at ${numberWords(nm, 5)} nm`,
    ...(job === undefined ? [] : [basename(job)]),
  ];
  return parts.join('; ');
}

/** The chart as plain data in trade units: places are [speed in mm/min, power in %]. */
function chartJson({ panels, leftOut, sure }: Chart, notes: readonly string[]) {
  const round = (value: number, digits: number): number => Number(value.toPrecision(digits));
  const line = (places: Polyline) =>
    places.map(([speed, power]) => [round(mmPerSToMmPerMin(speed), 6), round(power * 100, 5)]);
  const panel = ({ work, speedsMmPerS, edges, doses, cuts, points }: ChartPanel) => ({
    ...useJson(work.use),
    passes: work.passes,
    speeds_mm_min: speedsMmPerS.map((speed) => round(mmPerSToMmPerMin(speed), 6)),
    edges: edges.map((edge) => ({ region: edge.region, places: line(edge.line) })),
    equal_doses: doses.map((curve) => ({ dose_j_mm2: curve.doseJPerMm2, places: line(curve.line) })),
    cuts: cuts.map((curve) => ({ passes: curve.passes, places: line(curve.line) })),
    operations: points.map(
      ({
        operation,
        speedMmPerS,
        power,
        leastPower,
        outcome,
        engraved,
        isOfLines,
        comesThrough,
        slowTimes,
      }) => ({
        n: operation.n,
        feed_mm_min: round(mmPerSToMmPerMin(speedMmPerS), 6),
        power_percent: [round(leastPower * 100, 4), round(power * 100, 4)],
        passes: operation.passes,
        dose_j_mm2: round(outcome.doseJPerMm2, 4),
        slow_dose_times: slowTimes && round(slowTimes, 4),
        tone: round(outcome.tone, 4),
        tone_low: round(engraved.toneLow, 4),
        tone_high: round(engraved.toneHigh, 4),
        of_lines: isOfLines,
        region: outcome.region,
        chance_through: comesThrough && Number(comesThrough.chanceThrough.toFixed(3)),
        passes_for_sure: comesThrough?.passesForSure ?? null,
      }),
    ),
  });
  return { sure, panels: panels.map(panel), operations_left_out: leftOut, notes };
}
