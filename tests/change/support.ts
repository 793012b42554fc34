import { readFileSync } from 'node:fs';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import type { DemoJobName } from '../../src/demo/catalogue.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { machineWith } from '../support/machines.ts';

const plainMachine = machineWith({ lookahead_moves: 16 });

/** Lines of G-code as one text. */
export const gcode = (...lines: string[]): string => `${lines.join('\n')}\n`;

export const read = (text: string): Program => readProgram(text, { arcToleranceMm: 0.002, dwellUnit: 's' });

/** A job changed by the words of a change. */
export const adjust = (text: string, change: string, machine: Machine = plainMachine): string =>
  adjustText(text, parseChanges(change), machine);

/** A job of the demo as it stands, but for the sign's picture in shades, which is long: of it the first rows. */
export function demoText(name: DemoJobName): string {
  const text = readFileSync(new URL(`../../src/demo/jobs/${name}.nc`, import.meta.url), 'latin1');
  if (name !== 'sign') return text;
  const lines = text.split('\n');
  return [...lines.slice(0, 4000), ...lines.slice(lines.indexOf('M5'))].join('\n');
}

/** The lines that differ: `- old`, `+ new`, by the longest common run of lines. */
export function difference(before: string, after: string): string[] {
  const a = before.split('\n');
  const b = after.split('\n');
  const common = Array.from({ length: a.length + 1 }, () => new Uint32Array(b.length + 1));
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) {
      common[i]![j] =
        a[i] === b[j] ? common[i + 1]![j + 1]! + 1 : Math.max(common[i + 1]![j]!, common[i]![j + 1]!);
    }
  }
  const changes: string[] = [];
  let i = 0;
  let j = 0;
  while (i < a.length || j < b.length) {
    if (i < a.length && j < b.length && a[i] === b[j]) {
      i++;
      j++;
    } else if (j >= b.length || (i < a.length && common[i + 1]![j]! >= common[i]![j + 1]!)) {
      changes.push(`- ${a[i++]}`);
    } else changes.push(`+ ${b[j++]}`);
  }
  return changes;
}
