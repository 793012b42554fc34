/** Every kind of finding, in alphabetical order. */
export const FINDING_KINDS = [
  'beam-left-on',
  'beam-never-on',
  'beam-on-at-rest',
  'beam-on-travel',
  'below-speed',
  'below-threshold',
  'burned-twice',
  'controller-may-stop',
  'cut-before-engraved',
  'dark-corner',
  'dark-row-end',
  'dark-start-stop',
  'faint-corner',
  'may-ignite',
  'more-than-needed',
  'near-edge',
  'no-mark',
  'not-simulated',
  'not-through',
  'off-bed',
  'off-stock',
  'on-spot',
  'other-scale',
  'power-clipped',
  'rows-shifted',
  'speed-capped',
  'starved',
  'stripes',
  'tones-lost',
  'too-deep',
  'warm-fill',
  'wrong-size',
] as const;

export type FindingKind = (typeof FINDING_KINDS)[number];

/** How much a finding matters: worth knowing; the piece will suffer; the piece will be lost, or nothing is sure. */
export type Severity = 'note' | 'warning' | 'stop';

/** A place on the work and the line that leads there: x mm, y mm, source line. */
export type Place = readonly [xMm: number, yMm: number, line: number];

/** A number behind a finding, or a short list of them (`places`: at most 50, the worst first). */
type Measure = number | string | readonly number[] | readonly Place[];

/** A change of settings that makes the finding go away, in the words `--change` reads. */
export interface Advice {
  /** The operation it changes, or the first of several. */
  readonly operation: number;
  /** `1: proportional, overscan 4.2 mm`; `1: last; 2: last`. */
  readonly change: string;
}

/**
 * One thing the forecast expects to go wrong: where, why, how large, and what to change. Plain data; the
 * report, the terminal and the viewer all show the same sentences.
 */
export interface Finding {
  readonly kind: FindingKind;
  readonly severity: Severity;
  /** The source line it starts on; 0 when it concerns the whole job. */
  readonly line: number;
  /** Where on the work, mm; null when it has no place. */
  readonly atMm: readonly [number, number] | null;
  /** The operation it belongs to; null when it concerns the whole job. */
  readonly operation: number | null;
  /** What will happen and why, in one or two plain sentences. */
  readonly message: string;
  /** What to change, with a number. */
  readonly remedy: string;
  /** The numbers behind it; names carry their units (`dose_j_mm2`, `overscan_mm`). */
  readonly measure: Readonly<Record<string, Measure>>;
  /** The remedy as a change of settings, where settings can remedy it. */
  readonly advice?: Advice | null;
}

const SEVERITY_ORDER: readonly Severity[] = ['stop', 'warning', 'note'];

/** The gravest first. */
export const bySeverity = (a: Finding, b: Finding): number =>
  SEVERITY_ORDER.indexOf(a.severity) - SEVERITY_ORDER.indexOf(b.severity);

/** Worst first; within one severity in the order of the file. */
export const byCost = (a: Finding, b: Finding): number => bySeverity(a, b) || a.line - b.line;
