import type { Program } from '../program/program.ts';
import type { Finding } from './finding.ts';

/**
 * `controller-may-stop`: what common hobby controllers read but stricter ones stop at, once per cause, with the first
 * line and how many lines have the like.
 */
export const findControllerMayStop = ({ oddities }: Program): Finding[] =>
  oddities.map(({ line, count, found, readAs, instead }) => ({
    kind: 'controller-may-stop',
    severity: 'warning',
    line,
    atMm: null,
    operation: null,
    message:
      `Line ${line} holds ${found}: ${readAs}. A stricter controller may stop there` +
      (count === 1 ? '.' : `, and at ${count - 1} more ${count === 2 ? 'line' : 'lines'} like it.`),
    remedy: `Write ${instead}.`,
    measure: { found, count },
  }));
