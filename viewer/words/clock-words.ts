/** `2:06.4`, `12:40`, `1:02:40`: time as on a clock; tenths while the job is short. */
export function clockWords(seconds: number, tenths = seconds < 600): string {
  const whole = tenths ? Math.floor(seconds * 10) / 10 : Math.floor(seconds);
  const h = Math.floor(whole / 3600);
  const m = Math.floor((whole % 3600) / 60);
  const s = whole % 60;
  const text = tenths ? s.toFixed(1).padStart(4, '0') : String(s).padStart(2, '0');
  return h > 0 ? `${h}:${String(m).padStart(2, '0')}:${text}` : `${m}:${text}`;
}
