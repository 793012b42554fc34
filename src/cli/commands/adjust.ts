import { basename } from 'node:path';
import type { Command } from 'commander';
import { besideAsked, type Foretold, type Left, settle, whyLeft } from '../../change/advised.ts';
import { type Change, numbersBefore } from '../../change/change.ts';
import type { Changed } from '../../change/changed.ts';
import { changesWords } from '../../change/grammar.ts';
import { roundMm } from '../../change/rounding.ts';
import { compareWeighed, type Weighed, weigh } from '../../compare/compare.ts';
import { dose } from '../../dosing/dose-job.ts';
import type { Tones } from '../../dosing/tones-within.ts';
import { InputError } from '../../errors.ts';
import type { Finding } from '../../findings/finding.ts';
import { findingName } from '../../findings/finding-names.ts';
import { listWords } from '../../findings/phrases.ts';
import { forecastProgram } from '../../forecast.ts';
import type { Program } from '../../program/program.ts';
import { addChangeOptions, type ChangeWords, leaveOut, readAllChanges } from '../changes.ts';
import { comparedLines } from '../compare-words.ts';
import type { CommandContext } from '../context.ts';
import { EXIT } from '../context.ts';
import { addDosingOptions, asksForDosing, type DosingWords, readDosing } from '../dosing.ts';
import { about, openJobFile } from '../job-file.ts';
import { addSetupOptions, readSetup, type SetupWords } from '../setup.ts';
import { wrap } from '../summary.ts';
import { checkGcodeFile, writtenLines } from '../write-files.ts';

interface AdjustWords extends SetupWords, ChangeWords, DosingWords {
  readonly advised?: boolean;
  readonly out: string;
}

export function addAdjust(root: Command, { terminal, status }: CommandContext): void {
  addDosingOptions(
    addChangeOptions(addSetupOptions(root.command('adjust').argument('<job>', 'the G-code file'))),
  )
    .description(
      'write the job anew with changed settings: only the words that must change, every other byte kept',
    )
    .option('--advised', 'make the changes that the findings advise')
    .requiredOption('-o, --out <file>', 'the file to write; never the job itself')
    .action((job: string, words: AdjustWords) => {
      const setup = readSetup(words);
      const asked = readAllChanges(words);
      const dosing = readDosing(words);
      if (asked.length === 0 && !words.advised && !asksForDosing(words)) {
        throw new InputError(
          'found nothing to change; expected --change with settings, --only, --skip, --advised, --even or --true-tones',
        );
      }
      // Advice names operations by number, and what stays gets other numbers.
      if (words.advised && leaveOut(asked)) {
        throw new InputError(
          'found --advised beside operations that are left out; expected the one first and the other from what it wrote',
        );
      }
      const rules = { inputs: [job, ...setup.inputs, ...dosing.inputs] };
      checkGcodeFile(words.out, rules);
      const { machine, material, ...options } = setup;
      const text = openJobFile(job, setup);
      // Each forecast goes when it has been weighed: those of a large job are large. What true tones try last is asked of twice.
      const foretold = new WeakMap<Program, ForetoldJob>();
      const foretell = (
        program: Program,
        numbers: readonly number[] | null = null,
        withTones = false,
      ): ForetoldJob => {
        const known = foretold.get(program);
        if (known) return known;
        const made = about(job, () => forecastProgram(program, machine, material, options));
        const { frame, tone } = made.burn;
        const kept = {
          weighed: weigh(made, numbers),
          findings: made.findings,
          cuts: made.cuts,
          tones: withTones ? { frame, tone } : null,
        };
        foretold.set(program, kept);
        return kept;
      };
      const numbersAfter = (changes: readonly Change[]) => numbersBefore(text.table.program, changes);
      const before = foretell(text.table.program, null, dosing.tones !== null);
      // What was asked for stands above what is advised.
      const made = new Map<string, ForetoldJob>([['', before]]);
      const withAsked = (advised: readonly Change[]): ForetoldJob => {
        const changes = besideAsked(advised, asked);
        const words = changesWords(changes);
        if (!made.has(words)) made.set(words, foretell(text.change(changes).program, numbersAfter(changes)));
        return made.get(words)!;
      };
      const settled = words.advised ? settle(withAsked([]), withAsked) : null;
      const changes = besideAsked(settled?.changes ?? [], asked);
      const stillOf = (findings: readonly Finding[]): string[] =>
        settled === null
          ? []
          : stillLines(findings, whyLeft({ changes: settled.changes, findings }, withAsked), asked);
      if (changes.length === 0 && !asksForDosing(words)) {
        terminal.out([nothingAdvised(before.findings), ...stillOf(before.findings)].join('\n'));
        status.code = statusOf(before.findings);
        return;
      }
      const plain = text.change(changes);
      const readBack = (each: Changed) => text.rewrite(each, () => undefined);
      const whole = {
        asItIs: changes.length === 0 ? before.tones : null,
        foretell: (program: Program): Tones => foretell(program, numbersAfter(changes), true).tones!,
      };
      const dosed = about(job, () => dose(plain, { machine, material, options }, dosing, readBack, whole));
      if (dosed.changed === null && changes.length === 0) {
        terminal.out([...dosed.sentences, 'Nothing was written.'].join('\n'));
        status.code = statusOf(before.findings);
        return;
      }
      const changed = dosed.changed ?? plain;
      const after = dosed.changed
        ? foretell(changed.program, numbersAfter(changes))
        : withAsked(settled?.changes ?? []);
      const written = writtenLines([words.out], () => {
        text.write(changed, words.out, rules);
        return [words.out];
      });
      const comparison = compareWeighed(before.weighed, after.weighed);
      if (changes.length > 0) terminal.out(`Changed: ${changesWords(changes)}.`);
      for (const sentence of dosed.sentences) terminal.out(wrap(sentence, '', '').join('\n'));
      terminal.out('');
      terminal.out(comparedLines(comparison, basename(job), basename(words.out)).join('\n'));
      if (leaveOut(changes))
        terminal.out(`\nOperations are called here by the numbers they have in ${basename(job)}.`);
      if (settled) terminal.out(stillOf(after.findings).join('\n'));
      terminal.out(['', ...written].join('\n'));
      status.code = statusOf(after.findings);
    });
}

/** What is kept of a forecast. */
interface ForetoldJob extends Foretold {
  readonly weighed: Weighed;
  /** Where true tones may begin with them. */
  readonly tones: Tones | null;
}

/** As of a forecast: of what was written, or where nothing was of the job as it is. */
const statusOf = (findings: readonly Finding[]): number =>
  findings.some(({ severity }) => severity !== 'note') ? EXIT.warned : EXIT.calm;

/** What the advised changes do not mend, with what to do about it and why that was not done. */
function stillLines(findings: readonly Finding[], left: readonly Left[], asked: readonly Change[]): string[] {
  const told = findings.map((finding, k) => ({
    finding,
    why: shiftWords(finding, asked) ?? whyWords(finding, left[k]!),
  }));
  const lines = (heading: string, some: typeof told): string[] =>
    some.length === 0
      ? []
      : [
          '',
          heading,
          ...some.flatMap(({ finding, why }) =>
            wrap(`${findingName(finding)}. ${finding.remedy}${why}`, '- ', '  '),
          ),
        ];
  const isNote = ({ finding: { severity } }: (typeof told)[number]): boolean => severity === 'note';
  return [
    ...lines(
      'Still not mended:',
      told.filter((each) => !isNote(each)),
    ),
    ...lines('Worth knowing, and left as it is:', told.filter(isNote)),
  ];
}

/** What to type where the burn is to lie elsewhere on the board: where it lies is the person's own choice. */
function shiftWords({ measure }: Finding, asked: readonly Change[]): string | null {
  const { shift_mm: by, turn_degrees: further = 0 } = measure;
  if (!Array.isArray(by)) return null;
  const shifted = asked.findLast((change) => change.shiftMm)?.shiftMm ?? [0, 0];
  const turned = asked.findLast((change) => change.turnDegrees !== undefined)?.turnDegrees ?? 0;
  const shiftMm = [roundMm(shifted[0] + Number(by[0])), roundMm(shifted[1] + Number(by[1]))] as const;
  // The job is turned about the middle of its burn, so one turn more leaves that where the shift has brought it.
  const turnDegrees = (turned + Number(further)) % 360;
  const change: Change = {
    operation: 'all',
    ...(turnDegrees !== 0 && shiftMm[0] === 0 && shiftMm[1] === 0 ? {} : { shiftMm }),
    ...(turnDegrees === 0 ? {} : { turnDegrees }),
  };
  return ` Not done: where the job lies is for you to decide; the change “${changesWords([change])}” ${further ? 'lays' : 'moves'} it so.`;
}

/** Why a finding was not mended, after its remedy; a note's remedy without advice says itself that nothing need be. */
function whyWords({ severity }: Finding, left: Left): string {
  switch (left.why) {
    case 'no advice':
      return severity === 'note' ? '' : ' Not done: this is for you to decide or do.';
    case 'off the board':
      return ` Not done: “${left.change}” would burn the bed more; first lay the job on the board.`;
    case 'refused':
      return ` Not done: “${left.change}” cannot be written into this job: ${left.refusal.message}.`;
    case 'not tried':
      return ` Not done: “${left.change}” was not tried, after so many others.`;
    case 'no better':
      return left.brings.length === 0
        ? ` Not done: “${left.change}” makes the job no better as a whole.`
        : ` Not done: “${left.change}” would bring ${listWords(left.brings.map(findingName))}.`;
  }
}

/** Why nothing is written where nothing is advised, or nothing that would help. */
const nothingAdvised = (findings: readonly Finding[]): string =>
  findings.some(({ advice }) => advice)
    ? 'No change of settings that the findings advise makes this job better as a whole; nothing was written.'
    : 'The findings advise no change of settings; nothing was written.';
