import { InputError } from './errors.ts';

/**
 * Refuses options that a function does not know: a slip such as `cellmm` would otherwise change nothing, silently.
 *
 * @param known every option there is; the type asks for each.
 * @param of the function, for the sentence: `forecast`.
 * @throws {InputError} that names the unknown ones and those there are.
 */
export function refuseUnknownOptions<Options extends object>(
  options: Options,
  known: Readonly<Record<keyof Options, true>>,
  of: string,
): void {
  const unknown = Object.keys(options).filter((name) => !Object.hasOwn(known, name));
  if (unknown.length === 0) return;
  throw new InputError(
    `found the unknown option ${unknown.slice(0, 5).join(', ').slice(0, 80)} for ${of}; expected ${Object.keys(known).join(', ')}`,
  );
}
