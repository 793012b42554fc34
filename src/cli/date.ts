import { InputError } from '../errors.ts';

/** The day to note: that of `--date`, or today. @throws {InputError} where it is none. */
export const dateOf = (given: string | undefined): string => {
  const date = given ?? new Date().toISOString().slice(0, 10);
  const looksRight = /^\d{4}-\d\d-\d\d$/.test(date);
  if (!looksRight || !isDay(date))
    throw new InputError(
      `found --date ${date}${looksRight ? ', which is no day' : ''}; expected year-month-day, as in 2026-05-01`,
    );
  return date;
};

/** Whether the calendar has such a day: the engine reads 2026-02-30 as the 2nd of March. */
function isDay(date: string): boolean {
  const at = new Date(`${date}T00:00:00Z`);
  return !Number.isNaN(at.getTime()) && at.toISOString().startsWith(date);
}
