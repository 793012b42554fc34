import { describe, expect, test } from 'vitest';
import { forecast } from '../../src/forecast.ts';
import { bench, poplar } from './pairs.ts';

/** A job that burns nothing is told so first, with the reason. */

const run = (text: string, laser = {}) => forecast(text, bench({ laser }), poplar).findings;
const reasonOf = (text: string) => run(text)[0]!.message.replace(/.*there is nothing to forecast: /, '');

describe('the beam never comes on', () => {
  test.each([
    ['G21 G90\nG0 X10\nG1 X20 F600\n', 'it has no M3 and no M4, the words that switch the beam on.'],
    ['G21 G90\nG1 X20 S500 F600\n', 'it has no M3 and no M4, the words that switch the beam on.'],
    ['G21 G90\nM3 S0\nG1 X20 F600\nM5\n', 'S is 0 in all its moves and dwells.'],
    // Nothing moves or waits while it is.
    ['G21 G90\nG0 X10\nM3 S1000\nM5\n', 'S is 0 in all its moves and dwells.'],
    [
      'G21 G90\nG0 X10 Y10\nM3 S1000\nG4 P2\nM5\n',
      'S is above 0 only while the head rests (G4) after a rapid (G0), where this machine keeps the beam off.',
    ],
    [
      'G21 G90\nG1 X10 Y10 F600\nM4 S1000\nG4 P2\nM5\n',
      'S is above 0 only while the head rests (G4), where proportional power (M4) is off.',
    ],
    [
      'G21 G90\nM3 S500\nG0 X20\nS0\nG1 X30 F600\nM5\n',
      'S is above 0 in rapids (G0) alone, in which this machine keeps the beam off.',
    ],
  ])('%j', (text, reason) => {
    expect(reasonOf(text)).toBe(reason);
    expect(run(text)[0]).toMatchObject({ kind: 'beam-never-on', severity: 'stop', line: 0 });
  });

  test('a job for an extruder is known by its words, and this comes before all the rest', () => {
    const text = 'M104 S200\nG28\nM82\nG21 G90\nG1 X20 Y20 E2.5 F1200\nG1 X40 E5\nM107\nM84\n';
    const findings = run(text);
    expect(findings[0]!.kind).toBe('beam-never-on');
    expect(findings[0]!.message).toMatch(/a machine that prints plastic \(M104, M82 and E\)\.$/);
  });

  test('is not said where anything burns: at rest, in rapids, or too faintly', () => {
    const kinds = (text: string, laser = {}) => run(text, laser).map(({ kind }) => kind);
    expect(kinds('G21 G90\nG1 F600\nG0 X10\nM3 S500\nG1\nG4 P1\nM5\n')).not.toContain('beam-never-on');
    expect(kinds('G21 G90\nM3 S500\nG0 X20\nM5\n', { fires_on_rapids: true })).not.toContain('beam-never-on');
    const faint = kinds('G21 G90\nM3 S5\nG1 X20 F600\nM5\n', { threshold_fraction: 0.1 });
    expect(faint).toEqual(['below-threshold']);
    // As the remedy says of a dwell under M4: M3, and G1 before it.
    expect(kinds('G21 G90\nG0 X10\nM3 S1000\nG1 F600\nG4 P2\nM5\n')).toEqual(['beam-on-at-rest']);
    expect(run('G21 G90\nG0 X10\nM4 S1000\nG4 P2\nM5\n')[0]!.remedy).toBe(
      'To burn a dot, use constant power (M3), and write G1 before the dwell.',
    );
  });
});
