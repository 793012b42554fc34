import type { z } from 'zod';
import { InputError } from './errors.ts';

/**
 * Checks a parsed JSON value against a schema and fills in its defaults. The first thing found wrong becomes
 * one plain sentence that names the field, what was found and what was expected.
 *
 * @param what the kind of file, for the sentence: `a machine profile`.
 * @param source what was read (a file name), if known.
 * @throws {InputError}
 */
export function readChecked<Schema extends z.ZodType>(
  schema: Schema,
  value: unknown,
  what: string,
  source?: string,
): z.output<Schema> {
  const parsed = schema.safeParse(value);
  if (parsed.success) return parsed.data;
  throw new InputError(sentence(parsed.error.issues[0]!, { value, what, schema }), { source });
}

/** What was checked: the value, the kind of file, and what it was checked against. */
interface Checked {
  readonly value: unknown;
  readonly what: string;
  readonly schema: z.core.$ZodType;
}

function sentence(issue: z.core.$ZodIssue, { value, what, schema }: Checked): string {
  const field = issue.path.length > 0 ? fieldWords(issue.path) : 'the profile';
  if (issue.code === 'unrecognized_keys') {
    const names = issue.keys.map((key) => fieldWords([...issue.path, key])).join(', ');
    return `found the unknown field ${shortened(names)}; expected only the fields of ${what}${names.length > LONGEST_SHOWN ? '' : listed(issue.path, schema)}`;
  }
  const found = issue.path.reduce<unknown>(
    (at, key) => (at as Record<PropertyKey, unknown> | undefined)?.[key],
    value,
  );
  return `found ${shown(found)} for ${field}; expected ${expectation(issue)}`;
}

/** Which fields there are where an unknown one was found: ` (in laser: optical_power_w, s_max)`. */
function listed(path: readonly PropertyKey[], schema: z.core.$ZodType): string {
  const fields = fieldsAt(schema, path);
  if (fields.length === 0) return '';
  const where = path.length === 0 ? '' : `in ${fieldWords(path)}: `;
  return ` (${where}${fields.join(', ')})`;
}

/** As much of a schema as leads to its fields: an object has a shape, a list an element, what may be missing an inner type. */
interface Nested {
  readonly shape?: Readonly<Record<PropertyKey, z.core.$ZodType>>;
  readonly element?: z.core.$ZodType;
  readonly innerType?: z.core.$ZodType;
}

/** The fields that a schema knows at a place of the value; none where it cannot be told. */
function fieldsAt(schema: z.core.$ZodType, path: readonly PropertyKey[]): string[] {
  const { shape = {}, element, innerType } = schema._zod.def as Nested;
  if (innerType) return fieldsAt(innerType, path);
  if (path.length === 0) return Object.keys(shape);
  const inner = element ?? shape[path[0]!];
  return inner ? fieldsAt(inner, path.slice(1)) : [];
}

/** `laser.optical_power_w`; what stands in a list by its number, the first being 1: `patches number 3, s`. */
function fieldWords(path: readonly PropertyKey[]): string {
  return path.reduce<string>((words, key, k) => {
    if (typeof key === 'number') return `${words} number ${key + 1}`;
    const joint = k === 0 ? '' : typeof path[k - 1] === 'number' ? ', ' : '.';
    return `${words}${joint}${String(key)}`;
  }, '');
}

/** NaN and the infinities are not JSON: `JSON.stringify` would call them null. */
function shown(found: unknown): string {
  if (found === undefined) return 'nothing';
  if (typeof found === 'number') return String(found);
  if (Array.isArray(found) && found.length > 8) return `a list of ${found.length}`;
  if (typeof found === 'object' && found !== null && Object.keys(found).length > 8) return 'a whole object';
  try {
    return shortened(JSON.stringify(found) ?? withArticle(typeof found));
  } catch {
    return withArticle(typeof found); // what JSON cannot hold: only a program can hand that in
  }
}

const withArticle = (word: string): string => `${/^[aeiou]/.test(word) ? 'an' : 'a'} ${word}`;

const LONGEST_SHOWN = 60;
/** On one line, and no longer than a sentence can hold. */
function shortened(text: string): string {
  const shown = text.slice(0, LONGEST_SHOWN).replace(/[\s\p{C}]+/gu, ' ');
  return text.length > LONGEST_SHOWN ? `${shown}…` : shown;
}

function expectation(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'invalid_type':
      if (issue.expected === 'tuple' || issue.expected === 'array') return 'a list of numbers';
      return issue.expected === 'int' ? 'a whole number' : withArticle(issue.expected);
    case 'too_small':
      return `${issue.origin === 'number' ? 'a value' : 'a list'} ${issue.inclusive ? 'of at least' : 'above'} ${issue.minimum}`;
    case 'too_big':
      return `${issue.origin === 'number' ? 'a value' : 'a list'} ${issue.inclusive ? 'of at most' : 'below'} ${issue.maximum}`;
    case 'invalid_value':
      return `one of ${issue.values.map((v) => JSON.stringify(v)).join(', ')}`;
    case 'invalid_union':
      return unionExpectation(issue);
    default:
      return issue.message;
  }
}

/** For a choice by one field: `a rule that is "junction-deviation" or "speed-step"`. */
function unionExpectation(issue: z.core.$ZodIssueInvalidUnion): string {
  const { discriminator, options } = issue as { discriminator?: string; options?: readonly unknown[] };
  if (discriminator === undefined || options === undefined) return issue.message;
  return `a ${discriminator} that is ${options.map((option) => JSON.stringify(option)).join(' or ')}`;
}
