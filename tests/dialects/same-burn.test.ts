import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { jobBounds } from '../../src/board.ts';
import { depositStepMm, startDeposit } from '../../src/dose/deposit.ts';
import { startTally, total } from '../../src/dose/tally.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import { readOptions } from '../../src/forecast.ts';
import { frameOver, type GridFrame, grownBounds } from '../../src/grid.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { readProgram } from '../../src/program/read.ts';
import { furthestApart } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { expectSame } from '../support/same.ts';
import { anyJob, type Job } from './job.ts';
import { anyDialect, type Dialect, PLAIN, sMaxOf, write } from './writer.ts';

/** `FUZZ_RUNS` makes a long run of the property. */
const RUNS = Math.max(150, Number(process.env.FUZZ_RUNS ?? 0) / 20);

/**
 * One job written in many ways is one burn. Files carry four decimals of a millimetre or seven of an inch, and
 * an arc may fall into one chord more or less; at the arc tolerance and spot used here neither moves the beam by as
 * much as 1/300 of a σ, so doses agree to 0.3 % of the greatest; a chord more changes how fast the head passes from it
 * to what comes next, and with that time and energy by up to 0.2 %.
 */
const DOSE_APART = 0.003;
const PART_APART = 2e-3;

const machineFor = (dialect: Dialect, job: Job): Machine =>
  machineWith({
    arc_tolerance_mm: 0.0003,
    dwell_unit: dialect.dwell === 'P ms' ? 'ms' : 's',
    lookahead_moves: 16,
    laser: { s_max: sMaxOf(dialect, job), threshold_fraction: 0.04, beam_delay_ms: 0.5 },
    spot: { width_mm: [0.4, 0.4] },
  });

interface Burned {
  readonly durationS: number;
  readonly energyJ: number;
  readonly beamOnS: number;
  readonly dose: Float32Array;
}

function burn(text: string, machine: Machine, frame: GridFrame): Burned {
  const program = readProgram(text, readOptions(machine));
  const motion = planMotion(program, machine);
  const tally = startTally(program.moves, program.operations.length);
  const deposit = startDeposit(machine.spot, frame, tally);
  walkBeam(motion, machine, depositStepMm(machine.spot), deposit);
  const { grid, energyJ } = deposit.finish();
  return {
    durationS: motion.durationS,
    energyJ,
    beamOnS: total(tally.beamOnS),
    dose: grid.data as Float32Array,
  };
}

function frameFor(job: Job): GridFrame {
  const program = readProgram(write(job, PLAIN), readOptions(machineFor(PLAIN, job)));
  return frameOver(grownBounds(jobBounds(program, false).burn, 1.5), 0.2);
}

function expectSameBurn(job: Job, dialect: Dialect): void {
  const frame = frameFor(job);
  const plain = burn(write(job, PLAIN), machineFor(PLAIN, job), frame);
  const other = burn(write(job, dialect), machineFor(dialect, job), frame);
  expect(Math.abs(other.durationS - plain.durationS)).toBeLessThanOrEqual(PART_APART * plain.durationS);
  expect(Math.abs(other.energyJ - plain.energyJ)).toBeLessThanOrEqual(PART_APART * plain.energyJ);
  expect(Math.abs(other.beamOnS - plain.beamOnS)).toBeLessThanOrEqual(PART_APART * plain.beamOnS);
  if (plain.energyJ > 0) expect(furthestApart(other.dose, plain.dose)).toBeLessThan(DOSE_APART);
}

const power = fc.constantFrom('constant' as const, 'proportional' as const);

describe('one job in many dialects burns the same', () => {
  test(
    'property: any job in any dialect',
    () => {
      fc.assert(fc.property(anyJob(power), anyDialect, expectSameBurn), {
        numRuns: RUNS,
        ...(RUNS > 150 ? {} : { seed: 11 }),
      });
    },
    30_000 + RUNS * 100,
  );

  // Each dialect by itself, so that a failure names it.
  test.each<[string, Partial<Dialect>]>([
    ['S from 0 to 255', { sMax: 255 }],
    ['S from 0 to 1', { sMax: 1 }],
    ['inches', { units: 'inch' }],
    ['incremental', { distance: 'incremental' }],
    ['incremental inches', { distance: 'incremental', units: 'inch' }],
    ['arcs by radius', { arcs: 'radius' }],
    ['arc centres from the origin', { arcs: 'centre from origin' }],
    ['arc centres from the origin, shifted', { arcs: 'centre from origin', shift: [12.3, -4.5] }],
    ['power on an output pin', { power: 'pin' }],
    ['S on lines of its own', { sPlace: 'on its own line' }],
    ['dwell in milliseconds', { dwell: 'P ms' }],
    ['dwell by S', { dwell: 'S' }],
    ['dwell by X', { dwell: 'X' }],
    ['line numbers and checksums', { numbering: 'N and checksum' }],
    ['lower case without blanks', { lowerCase: true, blanks: false, numbers: 'shortest' }],
    ['words in any order', { shuffled: true }],
    ['nothing said twice', { modal: true }],
    ['comments', { comments: '( )', lineEnd: '\r\n' }],
    ['comments to the line’s end', { comments: ';', lineEnd: '\r', percent: true }],
    ['coordinates shifted by G92', { shift: [-30, 7.1], shiftEnds: true }],
  ])('%s', (_, changes) => {
    fc.assert(
      fc.property(anyJob(power), fc.nat(), (job, seed) =>
        expectSameBurn(job, { ...PLAIN, ...changes, seed }),
      ),
      { numRuns: 12, seed: 5 },
    );
  });

  test('M4 on a controller that has no such mode is M3', () => {
    fc.assert(
      fc.property(anyJob(fc.constant('constant' as const)), (job) => {
        const text = write(job, PLAIN);
        const plain = machineFor(PLAIN, job);
        const other = { ...plain, laser: { ...plain.laser, m4_power: 'constant' as const } };
        const frame = frameFor(job);
        expectSame(burn(text.replace('M03', 'M04'), other, frame), burn(text, plain, frame));
      }),
      { numRuns: 12, seed: 5 },
    );
  });

  test('the writer does write what it says', () => {
    const job: Job = {
      power: 'constant',
      steps: [
        { kind: 'travel', x: 10, y: 5 },
        {
          kind: 'arc',
          x: 12,
          y: 7,
          centreX: 10,
          centreY: 7,
          radius: 2,
          sweep: Math.PI / 2,
          duty: 0.5,
          feed: 600,
        },
        { kind: 'dwell', seconds: 0.25 },
        { kind: 'stroke', x: 2, y: 7, duty: 1, feed: 600 },
      ],
    };
    const written = (dialect: Dialect) =>
      write(job, dialect)
        .split('\n')
        .filter((line) => line !== '');
    expect(written(PLAIN)).toEqual([
      'G21',
      'G17 G90',
      'M03 S0',
      'G00 X10.0000 Y5.0000',
      'G03 X12.0000 Y7.0000 I0.0000 J2.0000 S500.0000 F600.00000',
      'G04 P0.2500',
      'G01 X2.0000 S1000.0000 F600.00000',
      'M5',
    ]);
    const odd: Dialect = {
      ...PLAIN,
      ...({ units: 'inch', distance: 'incremental', arcs: 'radius', power: 'pin', dwell: 'P ms' } as const),
      ...({ numbering: 'N and checksum', numbers: 'shortest', lowerCase: true, blanks: false } as const),
      ...({ modal: true, shift: [25.4, 0] } as const),
    };
    expect(written(odd).map((line) => line.replace(/\*\d+$/, '*'))).toEqual([
      'n1g20*',
      'n2g17g91*',
      'n3g92x1y0*',
      'n4g0x.3937008y.1968504*',
      'n5m106s127.5*',
      'n6g3x.0787401y.0787402r.0787402f23.62205*',
      'n7g4p250*',
      'n8m106s255*',
      'n9g1x-.3937007*',
      'n10m107*',
    ]);
  });
});
