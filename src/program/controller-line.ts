import { shorten } from './block.ts';
import { AS_ONE_RUN } from './names.ts';
import { leaveOut, leaveOutSetting, type Notes, tellOddity } from './notes.ts';
import { isProse, quoted } from './prose.ts';

/** What a line turned out to be: words for the block, nothing to run, a `%`, the end mark of a text, or a homing command. */
export type LineKind = 'words' | 'nothing' | 'percent' | 'end mark' | 'homing';

const LINE_NUMBER = '(?:N[ \\t]*\\d+[ \\t]*)?';
const PROGRAM_NUMBER = new RegExp(`^${LINE_NUMBER}O[ \\t]*\\d+[ \\t]*$`, 'i');
const SUBPROGRAM = new RegExp(`^${LINE_NUMBER}O[ \\t]*[\\d<#[]`, 'i');
const FOR_THE_CONTROLLER = /^[{!?~@<:"%]/;

/**
 * Lines that are no blocks of words: commands to the controller itself, subprogram lines, parameters and
 * expressions. They are noted as not simulated and left out whole.
 * @param code the line from its first character on, comments blanked out
 * @returns undefined when the line is made of words after all.
 */
export function controllerLine(code: string, line: number, notes: Notes): LineKind | undefined {
  if (code.startsWith('$')) return dollarLine(code, line, notes);
  if (FOR_THE_CONTROLLER.test(code)) {
    leaveOut(notes, line, code[0]!, {
      effect: 'a line for the controller itself; it is left out',
      severity: mayMove(code) ? 'stop' : 'warning',
    });
    return 'nothing';
  }
  if (PROGRAM_NUMBER.test(code)) {
    leaveOut(notes, line, 'O', { effect: 'a program number; it changes nothing', severity: 'note' });
    return 'nothing';
  }
  if (SUBPROGRAM.test(code)) {
    leaveOut(notes, line, 'O sub', {
      effect: 'subprograms, loops and conditions are not run; their lines are read once, in order',
      severity: 'stop',
      instead: AS_ONE_RUN,
    });
    return 'nothing';
  }
  if (/^#+(?![ \t]*[\d<#[])/.test(code) && isProse(code.slice(1))) {
    tellOddity(notes, line, 'comment behind #', () => ({
      found: `${quoted(code)}, a comment behind a “#”`,
      readAs: 'the line was left out',
      instead: '“;” instead of the “#”',
    }));
    return 'nothing';
  }
  if (/[[\]#]/.test(code)) {
    leaveOut(notes, line, code.includes('#') ? '#' : '[…]', {
      effect: code.includes('#')
        ? 'parameters are not worked out; the whole line is left out'
        : 'expressions are not worked out; the whole line is left out',
      severity: mayMove(code) ? 'stop' : 'warning',
      instead: 'export the job anew with plain numbers, without parameters and expressions',
    });
    return 'nothing';
  }
  return undefined;
}

function dollarLine(code: string, line: number, notes: Notes): LineKind {
  if (/^\$[ \t]*H/i.test(code)) return 'homing';
  if (/^\$[ \t]*J[ \t]*=/i.test(code)) {
    leaveOut(notes, line, '$J', { effect: 'jogging moves are left out', severity: 'stop' });
  } else if (/^\$[^=]*=/.test(code)) {
    leaveOutSetting(notes, line, shorten(code.trim()), {
      effect: 'the file changes a setting of the controller; the machine profile is used instead',
      severity: 'warning',
    });
  } else {
    leaveOut(notes, line, '$', { effect: 'a question or command to the controller', severity: 'note' });
  }
  return 'nothing';
}

/** Whether left-out text holds axis or motion words, so that what follows may be elsewhere than shown. */
export const mayMove = (code: string): boolean => /[GXYZABCUVWIJKR][ \t]*[-+.\d[#]/i.test(code);
