/** Up to this long a job's clock shows tenths. */
const TENTHS_UP_TO_S = 3600;

/** `2:06.4`, `12:40`, `1:02:40`: time as on a clock, rounded to what is shown of it. */
export function clockWords(seconds: number, tenths = seconds < 600): string {
  const whole = tenths ? Math.round(seconds * 10) / 10 : Math.round(seconds);
  const h = Math.floor(whole / 3600);
  const m = Math.floor((whole % 3600) / 60);
  const s = whole % 60;
  const text = tenths ? s.toFixed(1).padStart(4, '0') : String(s).padStart(2, '0');
  return h > 0 ? `${h}:${String(m).padStart(2, '0')}:${text}` : `${m}:${text}`;
}

/** A moment of a job, or its end, on the job's clock: with the same digits, so that no moment lies beyond the end. */
export const timeOnClock = (seconds: number, durationS: number): string =>
  clockWords(seconds, durationS < TENTHS_UP_TO_S);
