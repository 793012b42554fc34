import { InputError } from '../errors.ts';
import { refuseUnknownOptions } from '../options.ts';
import { MM_PER_INCH } from '../units.ts';
import { AXIS_NAMES, type Axes, createDraft, type Draft, type Remark, type Told } from './listing/draft.ts';
import { takeLettered } from './listing/lettered.ts';
import { type ListingLine, listingLines, type TextLine } from './listing/lines.ts';
import { takeNumbered } from './listing/numbered.ts';
import type { Choices, Surroundings } from './listing/surroundings.ts';
import { type MachineFile, readMachine } from './profile.ts';

export type { Choices } from './listing/surroundings.ts';

/** What a settings listing gives. */
export interface MachineFromListing {
  /** What to keep as the machine's profile: the base, and over it what the listing says. Nothing is filled in. */
  readonly profile: MachineFile;
  /** What each line meant, in the order of the listing; then, as line 0, what was taken for want of a line. */
  readonly told: readonly Told[];
  /** What was not used, and why; also kept in the profile's notes. */
  readonly unused: readonly Remark[];
}

/** A profile as far as it is known: the optical power may still be missing. */
export type PartialMachine = Omit<MachineFile, 'laser'> & { laser?: Partial<MachineFile['laser']> };

/** Of the lines that were not used, as many are told one by one. */
const MOST_UNUSED = 200;
/** As many as the schema lets a profile keep. */
const MOST_NOTES = 1000;
/** S at full power where a listing does not tell it: M106 counts so, and most of that family do. */
const USUAL_S_MAX = 255;

/**
 * Reads a controller's own settings, as people paste them, into a machine profile: the numbered settings of one
 * family (`$110=6000`), or the M words of the other (`M203 X100 Y100`). Of settings that stand twice the last
 * counts, as on the controller.
 *
 * A listing cannot tell everything: the optical power and the spot must come from `base`.
 *
 * @param base what is known of the machine besides; what the listing says goes over it.
 * @throws {InputError} with its line at a setting with an impossible value; without one when there is no setting
 *   at all, `base` lacks the optical power or is no sound profile, or a choice is unknown.
 */
export function machineFromListing(
  text: string,
  base: PartialMachine = {},
  choices: Choices = {},
): MachineFromListing {
  refuseUnknownOptions(choices, { m203: true, m205x: true }, 'machineFromListing');
  const lines = listingLines(text);
  const around = { choices, hasM566: lines.some((each) => each.kind === 'lettered' && each.word === 'M566') };
  const draft = createDraft();
  takeLines(draft, lines, around);
  if (draft.told.length === 0) {
    throw new InputError(
      'found no settings; expected a listing with lines such as $110=6000 or M203 X100 Y100',
    );
  }
  tellRepeats(draft, lines);
  if (!lines.some((each) => each.kind === 'numbered')) takeUsual(draft, base);
  if (base.laser?.optical_power_w === undefined) {
    throw new InputError(
      'found no optical power; expected it from elsewhere, since a settings listing cannot tell it',
    );
  }
  const profile = merged(draft, base);
  readMachine(profile);
  tellHalves(draft, base, profile);
  const unused = [...draft.unused, ...draft.passedOver].sort((a, b) => a.line - b.line);
  return { profile, told: draft.told, unused: atMost(unused, MOST_UNUSED) };
}

function takeLines(draft: Draft, lines: readonly ListingLine[], around: Surroundings): void {
  let mmPerUnit = 1;
  for (const each of lines) {
    if (each.kind === 'numbered') takeNumbered(draft, each);
    else if (each.kind === 'text') takeText(draft, each);
    else if (each.word === 'G20' || each.word === 'G21') {
      mmPerUnit = each.word === 'G20' ? MM_PER_INCH : 1;
      const unit = each.word === 'G20' ? 'inches' : 'millimetres';
      draft.passedOver.push({ line: each.line, text: `${each.word}: lengths from here on are in ${unit}.` });
    } else takeLettered(draft, each, mmPerUnit, around);
  }
}

/** A status report tells the size of the look-ahead buffer; other text is no setting, or says what one is. */
function takeText(draft: Draft, { line, text, isCaption }: TextLine): void {
  const free = /^<Idle\b.*\|Bf:([1-9]\d{0,3}),\d+/.exec(text)?.[1];
  if (free !== undefined) {
    draft.lookaheadMoves = Number(free);
    const meaning = `at rest there is room for ${free} moves, so it plans that many ahead`;
    draft.told.push({ line, text: `Bf:${free}: ${meaning}.` });
  } else if (!isCaption) {
    const shown = text.length > 60 ? `${text.slice(0, 60)}…` : text;
    draft.passedOver.push({ line, text: `“${shown}” is no setting.` });
  }
}

/** Says where a setting stands more than once. */
function tellRepeats(draft: Draft, lines: readonly ListingLine[]): void {
  const last = new Map<string, number>();
  for (const each of lines) {
    if (each.kind === 'text') continue;
    // M208 comes once for where the axes begin and once for where they end; units may change on the way.
    if (each.kind === 'lettered' && /^(M208|G2[01])$/.test(each.word)) continue;
    const name = each.kind === 'numbered' ? `$${each.n}` : each.word;
    const before = last.get(name);
    if (before !== undefined) {
      draft.unused.push({
        line: before,
        text: `${name} stands again on line ${each.line}; what comes last counts.`,
      });
    }
    last.set(name, each.line);
  }
}

/** What is usual for the family of M words, where neither the listing nor the base tells. */
function takeUsual(draft: Draft, base: PartialMachine): void {
  const tell = (text: string) => draft.told.push({ line: 0, text });
  if (base.laser?.s_max === undefined) {
    draft.laser.s_max = USUAL_S_MAX;
    tell(
      `S${USUAL_S_MAX} was taken as full power, which is usual for such controllers; the listing does not tell.`,
    );
  }
  if (base.dwell_unit === undefined) {
    draft.dwellUnit = 'ms';
    tell(
      'The P of G4 was taken to count milliseconds, which is usual for such controllers; the listing does not tell.',
    );
  }
}

/** Says what was taken for x or y where a listing, perhaps cut short, tells it of the other alone. */
function tellHalves(draft: Draft, base: PartialMachine, profile: MachineFile): void {
  const fields = [
    ['max_speed_mm_s', draft.maxSpeedMmPerS, 'top speed', 'mm/s'],
    ['acceleration_mm_s2', accelerationOf(draft), 'acceleration', 'mm/s²'],
    ['work_area_mm', travelOf(draft), 'length of the bed', 'mm'],
  ] as const;
  for (const [field, listed, what, unit] of fields) {
    for (const axis of [0, 1] as const) {
      const isHalf = listed[axis] === undefined && listed[1 - axis] !== undefined;
      if (!isHalf || base[field] !== undefined) continue;
      const taken = Number(profile[field]![axis]!.toPrecision(4));
      draft.told.push({
        line: 0,
        text: `The listing tells no ${what} along ${AXIS_NAMES[axis]}: ${taken} ${unit} is taken.`,
      });
    }
  }
}

/** The base with what the listing says over it, fields in the order of the schema. */
function merged(draft: Draft, base: PartialMachine): MachineFile {
  const { laser, spot, notes, ...rest } = base;
  const kept = new Set([...(notes ?? []), ...atMost(draft.unused, MOST_UNUSED).map(({ text }) => text)]);
  return {
    ...rest,
    ...given({
      work_area_mm: overAxes(travelOf(draft), base.work_area_mm, 'work_area_mm'),
      max_speed_mm_s: overAxes(draft.maxSpeedMmPerS, base.max_speed_mm_s, 'max_speed_mm_s'),
      acceleration_mm_s2: overAxes(accelerationOf(draft), base.acceleration_mm_s2, 'acceleration_mm_s2'),
      cornering: draft.cornering,
      lookahead_moves: draft.lookaheadMoves,
      arc_tolerance_mm: draft.arcToleranceMm,
      dwell_unit: draft.dwellUnit,
    }),
    laser: { ...laser, ...draft.laser } as MachineFile['laser'],
    ...given({ spot, notes: kept.size > 0 ? Array.from(kept).slice(0, MOST_NOTES) : undefined }),
  };
}

/** The limits of the axes; x and y go no faster than the limit along the path, z only where it is named. */
function accelerationOf(draft: Draft): Axes {
  const path = draft.pathAccelerationMmPerS2;
  const [x, y, z] = draft.accelerationMmPerS2;
  if (path === undefined) return [x, y, z];
  return [Math.min(x ?? path, path), Math.min(y ?? path, path), z && Math.min(z, path)];
}

/** The length of the bed along x and y. */
function travelOf(draft: Draft): Axes {
  return draft.axisEndMm.map((end, axis) => {
    const length = end === undefined ? undefined : end - (draft.axisStartMm[axis] ?? 0);
    if (length === undefined || length > 0) return length;
    throw new InputError(
      `found a bed that ends at ${end} mm along ${AXIS_NAMES[axis]} but begins at ${draft.axisStartMm[axis] ?? 0} mm; expected it to end beyond where it begins`,
    );
  }) as Axes;
}

/** Axes the listing names, over those of the base, over the profile's own defaults; undefined if it names none. */
function overAxes<T extends number[]>(
  listed: Axes,
  base: T | undefined,
  field: 'work_area_mm' | 'max_speed_mm_s' | 'acceleration_mm_s2',
): T | undefined {
  if (listed.every((value) => value === undefined)) return undefined;
  const under = base ?? readMachine({ laser: { optical_power_w: 1 } })[field];
  return Array.from(under, (value, axis) => listed[axis] ?? value) as T;
}

/** Without the fields that are undefined. */
const given = <T extends object>(fields: T): { [K in keyof T]?: NonNullable<T[K]> } =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: NonNullable<T[K]>;
  };

function atMost(remarks: readonly Remark[], most: number): Remark[] {
  if (remarks.length <= most) return [...remarks];
  return [
    ...remarks.slice(0, most),
    { line: 0, text: `${remarks.length - most} further lines were not used.` },
  ];
}
