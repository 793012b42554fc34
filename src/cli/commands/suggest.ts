import type { Command } from 'commander';
import { CUTTING_CAUTION } from '../../findings/phrases.ts';
import { readNotebook } from '../../outcome/notebook.ts';
import type { Margin, Proposal, Suggestion } from '../../suggest/proposal.ts';
import { sentencesOf } from '../../suggest/sentences.ts';
import { suggest } from '../../suggest/suggest.ts';
import { readWant } from '../../suggest/want.ts';
import { workedBefore } from '../../suggest/worked.ts';
import { SURE } from '../../sure/come-through.ts';
import { mmPerSToMmPerMin } from '../../units.ts';
import { addSureOption, readSure } from '../checks.ts';
import type { CommandContext } from '../context.ts';
import { EXIT } from '../context.ts';
import { readJson } from '../files.ts';
import { addBenchOptions, readSetup } from '../setup.ts';
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

interface SuggestWords extends WorkWords {
  readonly want: string;
  readonly notebook?: string;
  readonly sure?: string;
  readonly json?: boolean;
}

export function addSuggest(root: Command, { terminal, status }: CommandContext): void {
  const command = root
    .command('suggest')
    .description(
      'say which settings give a wanted burn: of a tone first one with room on all sides, then from the fastest on',
    );
  addSureOption(addThicknessOption(addBenchOptions(command))).requiredOption(
    '--want <burn>',
    'cut, tan, brown, char, or a tone above 0 (bare) and up to 1 (char) such as 0.4 or 40%',
  );
  addUseOptions(
    command,
    'fill an area with rows, or burn a line (default: rows; a line to cut)',
    'from the spot’s width',
  )
    .option('--notebook <file>', 'say first what worked on this wood before, from a notebook of burns')
    .option('--json', 'print the settings as JSON instead of sentences')
    .addHelpText(
      'after',
      '\nExit status: 0 there are settings; 1 this machine cannot do it, or hardly; 2 bad input.',
    )
    .action((words: SuggestWords) => {
      const want = readWant(words.want);
      if (words.for === 'line') refuseRowsOfLine(words, '--for line');
      else if (words.for === undefined && want.kind === 'cut') refuseRowsOfLine(words, '--want cut');
      const { machine, material, stock, notes } = readSetup(words);
      const proposal = suggest(want, material, machine, {
        ...readThickness(words.thickness, stock),
        sure: readSure(words.sure) ?? SURE,
        ...(words.for === undefined ? {} : { use: words.for }),
        ...(words.rows === undefined ? {} : { rowSpacingMm: readRowSpacing(words.rows) }),
        ...readRowLength(words.rowLength),
      });
      const remarks = [...notes, ...proposal.notes];
      const worked = workedLines(words.notebook, proposal);
      terminal.out(
        words.json
          ? JSON.stringify({ ...proposalJson(proposal, remarks), worked_before: worked }, null, 2)
          : [...worked, proposalText(proposal, remarks)].join('\n'),
      );
      status.code = proposal.impossible === null && proposal.hopeless === null ? EXIT.calm : EXIT.warned;
    });
}

/** What worked on this wood before, as lines to stand ahead of what the model has. */
function workedLines(path: string | undefined, proposal: Proposal): string[] {
  if (path === undefined) return [];
  const { heading, worked } = workedBefore(readNotebook(readJson(path, 'notebook'), path), proposal);
  const told = worked.flatMap(({ sentence }) => wrap(`- ${sentence}`, '', '  '));
  return [...wrap(heading, '', ''), ...told, ''];
}

/** The proposal as plain text that can be read aloud. */
function proposalText(proposal: Proposal, remarks: readonly string[]): string {
  const { heading, suggestions } = sentencesOf(proposal);
  const lines = [...wrap(heading, '', ''), ''];
  if (proposal.hopeless !== null) lines.push(...wrap(proposal.hopeless, '', ''), '');
  suggestions.forEach(([setting, ...rest], k) => {
    lines.push(...wrap(`${k + 1}. ${setting}`, '', '   '));
    for (const sentence of rest) lines.push(...wrap(sentence, '   ', '   '));
  });
  if (proposal.impossible !== null) lines.push(...wrap(proposal.impossible, '', ''));
  const all = proposal.want.kind === 'cut' ? [...remarks, CUTTING_CAUTION] : remarks;
  return [...lines, ...titled('Good to know', all), '', ...wrap(CAUTION, '', '')].join('\n');
}

function proposalJson(proposal: Proposal, notes: readonly string[]) {
  const round = (value: number, digits = 4): number => Number(value.toPrecision(digits));
  const margin = (m: Margin | null) =>
    m && {
      region: m.region,
      speed_mm_min: m.speedMmPerS === null ? null : round(mmPerSToMmPerMin(m.speedMmPerS)),
      power_percent: m.power === null ? null : round(m.power * 100),
    };
  const one = ({ use, outcome, ...rest }: Suggestion) => ({
    ...useJson(use),
    feed_mm_min: round(mmPerSToMmPerMin(rest.speedMmPerS), 6),
    s: rest.s,
    power_percent: round(rest.power * 100),
    power_mode: rest.powerMode,
    passes: rest.passes,
    region: outcome.region,
    tone: round(outcome.tone),
    tone_low: round(rest.engraved.toneLow),
    tone_high: round(rest.engraved.toneHigh),
    dose_j_mm2: round(outcome.doseJPerMm2),
    depth_mm: round(outcome.depthMm),
    depth_low_mm: round(rest.engraved.depthLowMm),
    depth_high_mm: round(rest.engraved.depthHighMm),
    darker: margin(rest.darker),
    lighter: margin(rest.lighter),
    uncertainty: rest.uncertainty === null ? null : round(rest.uncertainty, 3),
    chance_through: rest.chanceThrough === null ? null : Number(rest.chanceThrough.toFixed(3)),
    [use.kind === 'rows' ? 'time_s_per_cm2' : 'time_s_per_100_mm']: round(rest.timeS),
    run_up_mm: round(rest.runUpMm),
  });
  return {
    want: proposal.want,
    machine: proposal.machine.name,
    material: proposal.material.name,
    thickness_mm: proposal.thicknessMm,
    suggestions: proposal.suggestions.map(one),
    impossible: proposal.impossible,
    hopeless: proposal.hopeless,
    notes,
    cautions: proposal.want.kind === 'cut' ? [CUTTING_CAUTION, CAUTION] : [CAUTION],
  };
}
