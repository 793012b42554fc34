import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast } from '../../src/forecast.ts';
import { machineWith } from '../support/machines.ts';

/** Outlines that only touch are not burned twice, those that stand twice are, however they lie and are written. */

const wood = shippedMaterials['poplar plywood']!;
const TURNS = [0, 17, 45, 71].map((degrees) => (degrees * Math.PI) / 180);
const SPOTS = [0.12, 0.25, 1];

type Place = readonly [number, number];
/** One outline of lines and arcs, the middle of an arc beside its end; G2 or G3 for one that goes round. */
type Piece = { to: Place; middle?: Place; clockwise?: boolean };
interface Outline {
  from: Place;
  pieces: readonly Piece[];
}

const circle = ([x, y]: Place, r: number, clockwise = false): Outline => ({
  from: [x + r, y],
  pieces: [
    { to: [x - r, y], middle: [x, y], clockwise },
    { to: [x + r, y], middle: [x, y], clockwise },
  ],
});
const arc = (r: number, fromRad: number, toRad: number): Outline => ({
  from: [r * Math.cos(fromRad), r * Math.sin(fromRad)],
  pieces: [{ to: [r * Math.cos(toRad), r * Math.sin(toRad)], middle: [0, 0], clockwise: toRad < fromRad }],
});
const chords = (r: number, fromRad: number, toRad: number, count: number): Outline => {
  const at = (k: number): Place => {
    const angle = fromRad + ((toRad - fromRad) * k) / count;
    return [r * Math.cos(angle), r * Math.sin(angle)];
  };
  return { from: at(0), pieces: Array.from({ length: count }, (_, k) => ({ to: at(k + 1) })) };
};
const line = (from: Place, to: Place): Outline => ({ from, pieces: [{ to }] });

/** Writes outlines, turned, in millimetres or inches. */
function written(outlines: readonly Outline[], turn: number, unit: 'mm' | 'inch'): string {
  const per = unit === 'mm' ? 1 : 25.4;
  const digits = unit === 'mm' ? 3 : 5;
  const turned = ([x, y]: Place): Place => [
    x * Math.cos(turn) - y * Math.sin(turn),
    x * Math.sin(turn) + y * Math.cos(turn),
  ];
  const words = (place: Place, names: readonly [string, string]) =>
    place.map((mm, k) => `${names[k]}${(mm / per).toFixed(digits)}`).join(' ');
  const rows = outlines.flatMap(({ from, pieces }) => {
    let at = turned(from);
    const first = `G0 ${words(at, ['X', 'Y'])}`;
    return [
      first,
      ...pieces.map(({ to, middle, clockwise }) => {
        const end = turned(to);
        const centre = middle && turned(middle);
        const offset = centre && words([centre[0] - at[0], centre[1] - at[1]], ['I', 'J']);
        at = end;
        return `${offset ? (clockwise ? 'G2' : 'G3') : 'G1'} ${words(end, ['X', 'Y'])} ${offset ?? ''}`;
      }),
    ];
  });
  return [unit === 'mm' ? 'G21 G90' : 'G20 G90', 'M4 S200', `F${1500 / per}`, ...rows, 'M5', ''].join('\n');
}

/** The length that is found burned twice, mm, at every turn, for every spot and in both units. */
const doubledMm = (outlines: readonly Outline[], spots = SPOTS): number[] =>
  TURNS.flatMap((turn, k) =>
    spots.map((width, j) => {
      const machine = machineWith({ spot: { width_mm: [width, width] } });
      const text = written(outlines, turn, (k + j) % 2 === 0 ? 'mm' : 'inch');
      const { findings } = forecast(text, machine, wood, { cellMm: 1, cool: true });
      return findings
        .filter(({ kind }) => kind === 'burned-twice')
        .reduce((sum, { measure }) => sum + Number(measure.overlap_mm), 0);
    }),
  );

const none = new Set([0]);

describe('what only touches', () => {
  test.each<[string, Outline[]]>([
    ['circles of 20 and 10 mm', [circle([0, 0], 20), circle([30, 0], 10, true)]],
    ['circles of 3 and 3 mm', [circle([0, 0], 3), circle([6, 0], 3)]],
    ['circles of 150 and 90 mm', [circle([0, 0], 150), circle([240, 0], 90)]],
    ['a circle of 8 mm in one of 20 mm', [circle([0, 0], 20), circle([12, 0], 8)]],
    ['a circle of 19 mm in one of 20 mm', [circle([0, 0], 20), circle([1, 0], 19, true)]],
    ['a line and a circle of 40 mm', [circle([0, 0], 40), line([40, -30], [40, 30])]],
    ['a line that runs out into a circle of 25 mm', [circle([0, 0], 25), line([25, -30], [25, 0])]],
    ['circles that cut a little into each other', [circle([0, 0], 20), circle([29.98, 0], 10)]],
    [
      'six circles round one',
      [
        circle([0, 0], 10),
        ...[0, 1, 2, 3, 4, 5].map((k) =>
          circle([20 * Math.cos((k * Math.PI) / 3), 20 * Math.sin((k * Math.PI) / 3)], 10),
        ),
      ],
    ],
    ['lines that cross at two degrees', [line([0, 0], [80, 0]), line([0, -1.4], [80, 1.4])]],
  ])('%s', (_, outlines) => {
    expect(new Set(doubledMm(outlines))).toEqual(none);
  });
});

/** Each with the length that stands twice, mm; of a path that bends, the map of cells misses some, and under a wide spot most. */
describe('what stands twice', () => {
  test.each<[string, Outline[], number, number[]?]>([
    ['a line of 4 mm', [line([0, 0], [4, 0]), line([0, 0], [40, 0])], 4],
    ['a line, back', [line([0, 0], [40, 0]), line([30, 0], [10, 0])], 20],
    ['an arc, there and back', [arc(20, 0, 3), arc(20, 1.5, 0.5)], 20],
    ['an arc of a small hole', [arc(2, 0, 6), arc(2, 0.5, 3)], 5],
    ['an arc, again as chords of two degrees', [arc(30, 0, 3), chords(30, 0.5, 1.2, 20)], 21],
    ['chords of three degrees and then an arc', [chords(25, 0, 3, 57), arc(25, 0.4, 1.6)], 30],
    ['a wide arc, again as coarse chords', [arc(50, 0, 3), chords(50, 0.5, 2, 17)], 75, [0.25]],
  ])('%s', (_, outlines, lengthMm, spots = [0.12, 0.25]) => {
    for (const mm of doubledMm(outlines, spots)) {
      expect(mm).toBeGreaterThan(0.55 * lengthMm);
      expect(mm).toBeLessThan(1.1 * lengthMm + 0.5);
    }
  });
});
