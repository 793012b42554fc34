/**
 * A reader for the demo's own dialect, for tests only: plain words, mm, absolute, one motion a line. It shares
 * nothing with the generator that wrote the text, nor with the program reader.
 */
export interface Step {
  readonly line: number;
  readonly motion: 0 | 1 | 2 | 3;
  readonly power: 'M3' | 'M4' | 'M5';
  readonly fromMm: readonly [number, number];
  readonly toMm: readonly [number, number];
  /** For arcs: the centre. */
  readonly centreMm: readonly [number, number] | null;
  readonly s: number;
  readonly feedMmPerMin: number;
  /** The last comment before it: what is being made. */
  readonly part: string;
}

export const burns = (step: Step): boolean => step.motion > 0 && step.power !== 'M5' && step.s > 0;

export function walk(text: string): Step[] {
  const steps: Step[] = [];
  const now = { X: 0, Y: 0, S: 0, F: 0, G: 0, power: 'M5' as Step['power'], part: '' };
  text.split('\n').forEach((raw, k) => {
    if (raw.startsWith(';')) {
      now.part = raw.slice(2);
      return;
    }
    const words = new Map<string, number>();
    for (const word of raw.split(' ').filter(Boolean)) {
      if (!/^[GMXYIJSF]-?\d+(\.\d{1,3})?$/.test(word))
        throw new Error(`line ${k + 1}: unreadable word ${word}`);
      const value = Number(word.slice(1));
      if (word[0] === 'M') now.power = value === 2 ? 'M5' : (word as Step['power']);
      else if (word[0] === 'G' && value > 3) continue;
      else words.set(word[0]!, value);
    }
    const from = [now.X, now.Y] as const;
    for (const [letter, value] of words) if (letter in now) Object.assign(now, { [letter]: value });
    if (!['X', 'Y', 'I', 'J'].some((letter) => words.has(letter))) return;
    const motion = now.G as Step['motion'];
    steps.push({
      line: k + 1,
      motion,
      power: now.power,
      fromMm: from,
      toMm: [now.X, now.Y],
      centreMm: motion > 1 ? [from[0] + (words.get('I') ?? 0), from[1] + (words.get('J') ?? 0)] : null,
      s: now.S,
      feedMmPerMin: now.F,
      part: now.part,
    });
  });
  return steps;
}

/** Points along a step, its start left out: the end of a line, many points of an arc. */
export function pointsOf(step: Step): (readonly [number, number])[] {
  if (!step.centreMm) return [step.toMm];
  const [cx, cy] = step.centreMm;
  const radius = Math.hypot(step.fromMm[0] - cx, step.fromMm[1] - cy);
  const start = Math.atan2(step.fromMm[1] - cy, step.fromMm[0] - cx);
  const sign = step.motion === 3 ? 1 : -1;
  const turn = sign * (Math.atan2(step.toMm[1] - cy, step.toMm[0] - cx) - start);
  const sweep = turn <= 1e-9 ? turn + 2 * Math.PI : turn;
  return Array.from({ length: 64 }, (_, k) => {
    const angle = start + (sign * sweep * (k + 1)) / 64;
    return [cx + radius * Math.cos(angle), cy + radius * Math.sin(angle)] as const;
  });
}

interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** The box around some steps, starts included. */
export function boxOf(steps: readonly Step[]): Box {
  const points = steps.flatMap((step) => [step.fromMm, ...pointsOf(step)]);
  const box = { minX: Infinity, minY: Infinity, maxX: -Infinity, maxY: -Infinity };
  for (const [x, y] of points) {
    box.minX = Math.min(box.minX, x);
    box.minY = Math.min(box.minY, y);
    box.maxX = Math.max(box.maxX, x);
    box.maxY = Math.max(box.maxY, y);
  }
  return box;
}
