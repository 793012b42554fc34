import { describe, expect, it } from 'vitest';
import { type Block, gcode } from '../../src/demo/gcode.ts';

const body = (blocks: Block[]) => gcode([], blocks).split('\n').slice(1, -2);
const line = (x: number, y: number, s = 500): Block => ({ do: 'line', toMm: [x, y], s, feedMmPerMin: 1200 });

describe('written G-code', () => {
  it('begins with comments, units and distance mode, and ends the program', () => {
    expect(gcode(['A title.'], [{ do: 'say', text: 'Nothing.' }])).toBe(
      '; A title.\nG21 G90\n; Nothing.\nM2\n',
    );
  });

  // RS-274/NGC: G1, F, S and axis positions hold until changed (NISTIR 6556, sections 3.4 and 3.5.2).
  it('leaves out words that still hold', () => {
    expect(body([line(1, 2), line(3, 2), line(3, 4, 250), line(5, 6, 250)])).toEqual([
      'G1 X1 Y2 S500 F1200',
      'X3',
      'Y4 S250',
      'X5 Y6',
    ]);
  });

  it('knows that arming sets S to 0', () => {
    const armed: Block = { do: 'arm', power: 'proportional' };
    expect(body([armed, line(1, 0, 0), { do: 'disarm' }, armed, line(2, 0, 500)])).toEqual([
      'M4 S0',
      'G1 X1 Y0 F1200',
      'M5',
      'M4 S0',
      'X2 S500',
    ]);
  });

  it('passes over a move to where the head is, and keeps its S for the next one', () => {
    expect(body([line(1, 0), line(1, 0, 250), line(2, 0, 250)])).toEqual(['G1 X1 Y0 S500 F1200', 'X2 S250']);
  });

  // NISTIR 6556, section 3.5.3.2: I and J run from the arc's start to its centre; a full circle ends where it
  // began, and at least one of its end's words must be there.
  it('always gives an arc its end and its centre', () => {
    const arc = (toMm: [number, number]): Block => ({
      do: 'arc',
      toMm,
      centreMm: [2, 0],
      clockwise: false,
      s: 500,
      feedMmPerMin: 1200,
    });
    expect(body([line(4, 0), arc([4, 0]), arc([0, 0])])).toEqual([
      'G1 X4 Y0 S500 F1200',
      'G3 X4 Y0 I-2 J0',
      'X0 Y0 I-2 J0',
    ]);
  });

  it('writes micrometres, no needless digits and no negative zero', () => {
    expect(body([line(1.23456, -0.0001), line(10, 0.5)])).toEqual(['G1 X1.235 Y0 S500 F1200', 'X10 Y0.5']);
  });
});
