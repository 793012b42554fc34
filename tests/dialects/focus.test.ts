import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast } from '../../src/forecast.ts';
import { cellValueAt, integrate } from '../../src/grid.ts';
import { machineWith } from '../support/machines.ts';

const WOOD = shippedMaterials.basswood!;

const spot = { width_mm: [0.2, 0.3] as [number, number], rayleigh_mm: 2, focus_z_mm: -0.5 };
const lensy = machineWith({ spot, laser: { s_max: 1000 } });

const made = (text: string, machine = lensy, cellMm = 0.05) =>
  forecast(text, machine, WOOD, {
    stock: { widthMm: 40, heightMm: 16, thicknessMm: 4, xMm: 0, yMm: -8 },
    cellMm,
  });

/** D4σ across a line along x at place `x`, mm: four times the standard deviation (ISO 11146), the cell's own taken off. */
function widthAcross({ dose: { grid } }: ReturnType<typeof made>, xMm: number): number {
  const i = Math.floor((xMm - grid.x0Mm) / grid.cellMm);
  let [sum, first, second] = [0, 0, 0];
  for (let j = 0; j < grid.ny; j++) {
    const y = grid.y0Mm + (j + 0.5) * grid.cellMm;
    const dose = grid.data[j * grid.nx + i]!;
    sum += dose;
    first += dose * y;
    second += dose * y * y;
  }
  const variance = second / sum - (first / sum) ** 2 - grid.cellMm ** 2 / 12;
  return 4 * Math.sqrt(variance);
}

/** w(z) = w0·√(1 + ((z − z0)/z_R)²), the Gaussian-beam law (ISO 11146-1). */
const law = (z: number): number => 0.3 * Math.sqrt(1 + ((z + 0.5) / 2) ** 2);

describe('Z moves the focus', () => {
  test.each([-0.5, 0, 1, 3, -4, 6])('a line burned at z = %d mm is as wide as the law says', (z) => {
    const line = made(`G21 G90\nG0 X2 Z${z}\nM3 S500\nG1 X38 F3000\nM5\n`);
    // Brushes are shared by focuses that differ by less than 1/400.
    expect(Math.abs(widthAcross(line, 20) / law(z) - 1)).toBeLessThan(0.004);
    // No light is lost by it: 36 mm at 50 mm/s and 4 W, and the ramps of 500 mm/s².
    expect(integrate(line.dose.grid)).toBeCloseTo(4 * (36 / 50 + 50 / 500), 2);
  });

  test('in inches and in steps too', () => {
    const mm = made('G21\nG0 X2 Z2\nM3 S500\nG1 X38 F3000\nM5\n');
    const inch = made('G20 G91\nG0 X0.0787402\nZ0.0787402\nM3 S500\nG1 X1.4173228 F118.1102\nM5\n');
    expect(widthAcross(inch, 20)).toBeCloseTo(widthAcross(mm, 20), 3);
  });

  test('a slope widens along the way', () => {
    const line = made('G21\nG0 X2 Z-0.5\nM3 S500\nG1 X38 Z5.5 F2000\nM5\n');
    for (const x of [6, 20, 34]) {
      const z = -0.5 + ((x - 2) / 36) * 6;
      expect(Math.abs(widthAcross(line, x) / law(z) - 1)).toBeLessThan(0.01);
    }
  });

  test('a dwell out of focus burns a wider, weaker dot', () => {
    const dot = (z: number) => {
      const { data } = made(`G21\nG0 X20 Z${z}\nM3 S500\nG1 X20.001 F600\nG4 P1\nM5\n`).dose.grid;
      return data.reduce((most, dose) => Math.max(most, dose), 0);
    };
    expect(dot(3.5) / dot(-0.5)).toBeCloseTo(1 / (1 + (4 / 2) ** 2), 1);
  });

  test.each(['gaussian', 'uniform-ellipse'] as const)(
    'a %s spot wider than any grid takes no more room than the grid',
    (shape) => {
      const wide = machineWith({ spot: { ...spot, shape, width_mm: [30, 40], rayleigh_mm: 0.01 } });
      const { dose } = made('G21\nG0 X2 Z90000\nM3 S500\nG1 X30 Y2 F3000\nM5\n', wide, 0.5);
      expect(dose.outsideJ / dose.energyJ).toBeCloseTo(1, 6);
    },
  );

  test('without a Rayleigh length the width stays', () => {
    const flat = machineWith({ spot: { width_mm: [0.2, 0.3] } });
    expect(widthAcross(made('G21\nG0 X2 Z5\nM3 S500\nG1 X38 F3000\nM5\n', flat), 20)).toBeCloseTo(0.3, 3);
  });
});

describe('what the heights mean is told', () => {
  const notes = (text: string, machine = lensy) => made(text, machine, 0.5).notes.join('\n');
  const flat = machineWith({ spot: { width_mm: [0.2, 0.3] } });

  test('burning out of focus: how far, and how much wider', () => {
    expect(notes('G21\nG0 X2 Z3.5\nM3 S500\nG1 X38 F3000\nM5\n')).toMatch(
      /burns at z = 3\.5 mm it is 4 mm out of focus \(focus_z_mm -0\.5\): the spot is 2\.24 times as wide there, and its middle gets 20 %/,
    );
  });

  test('several heights: the worst, with its line', () => {
    expect(notes('G21\nG0 X2 Z-0.5\nM3 S500\nG1 X38 F3000\nG1 Z-2.5\nX2\nM5\n')).toMatch(
      /from z = -2\.5 to -0\.5 mm; at z = -2\.5 mm \(line 5\) it is 2 mm out of focus .* 1\.41 times as wide/,
    );
    expect(notes('G21\nG0 X2 Z-0.5\nM3 S500\nG1 X38 F3000\nG1 Z-0.7\nX2\nM5\n')).toMatch(
      /all of it in focus/,
    );
  });

  test('several heights and no Rayleigh length', () => {
    expect(notes('G21\nG0 X2\nM3 S500\nG1 X38 F3000\nG1 Z-1 X2\nM5\n', flat)).toMatch(
      /from z = -1 to 0 mm; the machine profile does not say .*\(rayleigh_mm\), so it keeps its width/,
    );
  });

  test('one height in focus, or none burned: nothing to tell', () => {
    expect(notes('G21\nG0 X2 Z-0.5\nM3 S500\nG1 X38 F3000\nM5\n')).not.toMatch(/focus/);
    expect(notes('G21\nG0 X2 Z9\nG1 X38 F3000\n')).not.toMatch(/focus/);
    expect(notes('G21\nG0 X2 Z9\nM3 S500\nG1 X38 F3000\nM5\n', flat)).not.toMatch(/focus/);
  });

  const PEN = 'G21\nM3 S500 F3000\nG0 Z5\nX2\nG1 Z-0.5\nX12\nG0 Z5\nX20\nG1 Z-0.5\nX30\nG0 Z5\nM5\n';

  test('Z as a pen-up signal: told, and burned as written', () => {
    expect(notes(PEN)).toMatch(/Z goes up for travel and down to burn .*like a pen that is lifted/);
    const lifted = made(PEN);
    // Between the strokes nothing burns: the lift is a rapid.
    const at = (xMm: number) => cellValueAt(lifted.dose.grid, xMm, 0.01);
    expect(at(7)).toBeGreaterThan(0.1);
    expect(at(16)).toBe(0);
    expect(at(25)).toBeGreaterThan(0.1);
  });

  test('with the beam on all the way, travel at feed burns too, out of focus, and that is told', () => {
    const text = PEN.replaceAll('G0', 'G1');
    expect(notes(text)).toMatch(/at z = 5 mm \(line \d+\) it is 5\.5 mm out of focus/);
    expect(Math.abs(widthAcross(made(text), 16) / law(5) - 1)).toBeLessThan(0.01);
  });
});
