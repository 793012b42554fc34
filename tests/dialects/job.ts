import fc from 'fast-check';

/** A job as it is meant, before anyone writes it down: mm, mm/min, s, duty 0 … 1; the head starts at (0, 0). */
export interface Job {
  readonly power: 'constant' | 'proportional';
  readonly steps: readonly Step[];
}

export type Step =
  | { readonly kind: 'travel'; readonly x: number; readonly y: number }
  | {
      readonly kind: 'stroke';
      readonly x: number;
      readonly y: number;
      readonly duty: number;
      readonly feed: number;
    }
  | {
      readonly kind: 'arc';
      readonly x: number;
      readonly y: number;
      readonly centreX: number;
      readonly centreY: number;
      readonly radius: number;
      /** rad, counter-clockwise positive; a whole turn ends where it starts. */
      readonly sweep: number;
      readonly duty: number;
      readonly feed: number;
    }
  | { readonly kind: 'dwell'; readonly seconds: number };

const duty = fc.integer({ min: 1, max: 20 }).map((n) => n / 20);
const feed = fc.integer({ min: 3, max: 60 }).map((n) => n * 100);
const place = fc.integer({ min: 0, max: 3000 }).map((n) => n / 100);
const point = fc.record({ x: place, y: place });

/** What people put into jobs, without the places that follow from what came before. */
const part = fc.oneof(
  { weight: 3, arbitrary: fc.record({ kind: fc.constant('travel' as const), to: point }) },
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('stroke' as const), to: point, duty, feed }) },
  {
    weight: 3,
    arbitrary: fc.record({
      kind: fc.constant('arc' as const),
      radius: fc.integer({ min: 10, max: 80 }).map((n) => n / 10),
      /** Where the centre lies, seen from the start. */
      towards: fc.integer({ min: 0, max: 359 }),
      sweepDeg: fc.oneof(
        fc.integer({ min: 20, max: 160 }),
        fc.integer({ min: 200, max: 340 }),
        fc.constant(360),
      ),
      clockwise: fc.boolean(),
      duty,
      feed,
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      kind: fc.constant('rows' as const),
      from: point,
      duties: fc.array(fc.array(fc.oneof(duty, fc.constant(0)), { minLength: 1, maxLength: 12 }), {
        minLength: 1,
        maxLength: 4,
      }),
      pitch: fc.constantFrom(0.1, 0.25, 0.5),
      feed,
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constant('dwell' as const), ms: fc.integer({ min: 1, max: 400 }) }),
  },
);

/** Random jobs: travel, strokes, arcs both ways, raster rows to and fro, dwells. At least one stroke burns. */
export const anyJob = (power: fc.Arbitrary<Job['power']>): fc.Arbitrary<Job> =>
  fc
    .record({
      power,
      parts: fc.array(part, { minLength: 1, maxLength: 8 }),
      last: fc.tuple(point, duty, feed),
    })
    .map(({ power, parts, last }) => {
      const steps: Step[] = [];
      let at = { x: 0, y: 0 };
      const go = (step: Step): void => {
        if (step.kind !== 'dwell') {
          if (step.x === at.x && step.y === at.y && !(step.kind === 'arc')) return;
          at = { x: step.x, y: step.y };
        }
        steps.push(step);
      };
      for (const each of parts) {
        if (each.kind === 'travel') go({ kind: 'travel', ...each.to });
        else if (each.kind === 'stroke') go({ kind: 'stroke', ...each.to, duty: each.duty, feed: each.feed });
        else if (each.kind === 'dwell') go({ kind: 'dwell', seconds: each.ms / 1000 });
        else if (each.kind === 'rows') rowsOf(each).forEach(go);
        else go(arcOf(each, at));
      }
      const [end, endDuty, endFeed] = last;
      go({ kind: 'stroke', ...end, duty: endDuty, feed: endFeed });
      if (!steps.some(({ kind }) => kind === 'stroke' || kind === 'arc')) {
        go({ kind: 'stroke', x: at.x + 3, y: at.y + 1, duty: endDuty, feed: endFeed });
      }
      return { power, steps };
    });

function arcOf(
  arc: {
    radius: number;
    towards: number;
    sweepDeg: number;
    clockwise: boolean;
    duty: number;
    feed: number;
  },
  at: { x: number; y: number },
): Step {
  const rad = (deg: number) => (deg * Math.PI) / 180;
  const centreX = rounded(at.x + arc.radius * Math.cos(rad(arc.towards)));
  const centreY = rounded(at.y + arc.radius * Math.sin(rad(arc.towards)));
  const sweep = rad(arc.sweepDeg) * (arc.clockwise ? -1 : 1);
  const [cos, sin] = [Math.cos(sweep), Math.sin(sweep)];
  const [fromX, fromY] = [at.x - centreX, at.y - centreY];
  const isFull = arc.sweepDeg === 360;
  return {
    kind: 'arc',
    x: isFull ? at.x : rounded(centreX + fromX * cos - fromY * sin),
    y: isFull ? at.y : rounded(centreY + fromX * sin + fromY * cos),
    centreX,
    centreY,
    radius: Math.hypot(fromX, fromY),
    sweep,
    duty: arc.duty,
    feed: arc.feed,
  };
}

function rowsOf(rows: {
  from: { x: number; y: number };
  duties: number[][];
  pitch: number;
  feed: number;
}): Step[] {
  const { from, duties, pitch, feed } = rows;
  const width = Math.max(...duties.map((row) => row.length)) * pitch;
  return duties.flatMap((row, k) => {
    const y = rounded(from.y + k * pitch);
    const direction = k % 2 === 0 ? 1 : -1;
    const start = direction > 0 ? from.x : from.x + width;
    return [
      { kind: 'travel' as const, x: rounded(start), y },
      ...row.map((duty, i) => ({
        kind: 'stroke' as const,
        x: rounded(start + direction * (i + 1) * pitch),
        y,
        duty,
        feed,
      })),
    ];
  });
}

/** Places to a ten-thousandth of a millimetre, as files carry at best. */
const rounded = (mm: number): number => Math.round(mm * 1e4) / 1e4 + 0;
