/** Up to this long a job's clock shows tenths. */
const TENTHS_UP_TO_S = 3600;

/** `2:06.4`, `12:40`, `1:02:40`: time as on a clock, rounded to what is shown of it; `digits` of a second. */
export function clockWords(seconds: number, digits = seconds < 600 ? 1 : 0): string {
  const whole = Math.round(seconds * 10 ** digits) / 10 ** digits;
  const h = Math.floor(whole / 3600);
  const m = Math.floor((whole % 3600) / 60);
  const s = whole % 60;
  const text = s.toFixed(digits).padStart(digits > 0 ? digits + 3 : 2, '0');
  return h > 0 ? `${h}:${String(m).padStart(2, '0')}:${text}` : `${m}:${text}`;
}

/** A moment of a job, or its end, on the job's clock: with the same digits, so that no moment lies beyond the end. */
export const timeOnClock = (seconds: number, durationS: number): string =>
  clockWords(seconds, durationS < TENTHS_UP_TO_S ? 1 : 0);

const MOST_DIGITS = 4;

/** Moments at even steps, with as many digits as tell each from the next. */
export function clockTicks(seconds: readonly number[]): string[] {
  const stepS = seconds.length > 1 ? seconds[1]! - seconds[0]! : 1;
  let digits = 0;
  while (digits < MOST_DIGITS && Math.abs(stepS * 10 ** digits - Math.round(stepS * 10 ** digits)) > 1e-6)
    digits++;
  return seconds.map((each) => clockWords(each, digits));
}
