import { mkdirSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';

const place = workplace();

const SQUARE = 'G21 G90\nM4 S0\nG0 X10 Y10\nG1 X22 S700 F2400\nG1 Y18\nG1 X10\nG1 Y10\nM5\n';
const machine = place.write(
  'machine.json',
  JSON.stringify({ name: 'test gantry', laser: { optical_power_w: 8 }, spot: { width_mm: [0.16, 0.24] } }),
);
const job = place.write('square.nc', SQUARE);

/** A .npy file read by its published layout (NumPy Enhancement Proposal 1). */
function readNpy(path: string): { shape: number[]; data: Float32Array } {
  const bytes = readFileSync(path);
  expect(bytes.subarray(0, 8)).toEqual(Buffer.from([0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, 1, 0]));
  const headerLength = bytes.readUInt16LE(8);
  expect((10 + headerLength) % 64).toBe(0);
  const header = bytes.toString('latin1', 10, 10 + headerLength);
  expect(header).toMatch(/^\{'descr': '<f4', 'fortran_order': False, 'shape': \(\d+, \d+\), \} *\n$/);
  const shape = header
    .match(/\((\d+), (\d+)\)/)!
    .slice(1)
    .map(Number);
  return {
    shape,
    data: new Float32Array(
      bytes.buffer.slice(bytes.byteOffset + 10 + headerLength, bytes.byteOffset + bytes.length),
    ),
  };
}

describe('charcast forecast', () => {
  test('writes two pictures, the report and the dose, and speaks a summary', async () => {
    const out = place.path('out');
    const {
      status,
      out: said,
      err,
    } = await place.charcast(
      'forecast',
      job,
      '--machine',
      machine,
      '--material',
      'basswood',
      '--stock',
      '40x30x4@0,0',
      '--cell',
      '0.1',
      '--out',
      out,
    );
    expect(err).toBe('');
    expect(status).toBe(0);
    expect(readdirSync(out).sort()).toEqual([
      'burn.png',
      'dose.npy',
      'dose.png',
      'report.json',
      'warmth.npy',
    ]);
    const report = JSON.parse(readFileSync(`${out}/report.json`, 'utf8'));
    expect(report).toMatchObject({
      job: {
        lines: 8,
        moves: 5,
        bounds_mm: { min: [0, 0], max: [22, 18] },
        burn_bounds_mm: { min: [10, 10], max: [22, 18] },
      },
      material: 'basswood',
      burn_mm: 40,
      operations: [
        {
          n: 1,
          kind: 'outline',
          power_mode: 'proportional',
          feed_mm_min: 2400,
          s_min: 700,
          s_max: 700,
          lines: [4, 7],
          passes: 1,
          burn_mm: 40,
        },
      ],
      findings: [],
    });
    // Proportional power: line energy is S/s_max · P / feed everywhere, 0.7 · 8 W / 40 mm/s over 40 mm.
    expect(report.energy_j).toBeCloseTo((0.7 * 8 * 40) / 40, 3);
    expect(report.travel_mm).toBeCloseTo(40 + Math.hypot(10, 10), 3);
    for (const stage of ['program', 'motion', 'dose', 'burn', 'findings', 'pictures', 'total']) {
      expect(report.timing_ms[stage]).toBeGreaterThanOrEqual(0);
    }
    const npy = readNpy(`${out}/dose.npy`);
    const { grid } = report;
    expect(npy.shape).toEqual([grid.ny, grid.nx]);
    expect(npy.data.reduce((sum, v) => sum + v, 0) * 0.01).toBeCloseTo(report.energy_j, 4);
    // Of the board's 400 × 300 cells those on which light falls, with a little room.
    expect(grid.cell_mm).toBe(0.1);
    for (const [fromMm, cells, low, high] of [
      [grid.x0_mm, grid.nx, 10, 22],
      [grid.y0_mm, grid.ny, 10, 18],
    ]) {
      expect(fromMm).toBeGreaterThan(low - 2);
      expect(fromMm).toBeLessThan(low);
      expect(fromMm + cells * 0.1).toBeGreaterThan(high);
      expect(fromMm + cells * 0.1).toBeLessThan(high + 2);
    }
    // Row 0 is the lowest y.
    const at = (xMm: number, yMm: number) =>
      npy.data[Math.floor((yMm - grid.y0_mm) / 0.1) * grid.nx + Math.floor((xMm - grid.x0_mm) / 0.1)];
    expect(at(15.05, 10.05)).toBeGreaterThan(0.1);
    expect(at(15.05, 14.05)).toBe(0);
    for (const name of ['burn.png', 'dose.png']) {
      const png = PNG.sync.read(readFileSync(`${out}/${name}`));
      expect(png.width).toBeGreaterThan(1000);
    }
    expect(said).toMatch(/Outline, burned at 2400 mm\/min with 70 % power, proportional\./);
    expect(said).toMatch(/not a safety clearance/);
    expect(said).toContain(`${out}/burn.png`);
    expect(said.split('\n').every((line) => line.length <= 100 || line.startsWith('Written'))).toBe(true);
  });

  test('--json prints the report alone and writes nothing', async () => {
    const before = readdirSync(place.path('.')).length;
    const { status, out } = await place.charcast('forecast', job, '--machine', machine, '--json');
    expect(status).toBe(0);
    expect(JSON.parse(out).job.moves).toBe(5);
    expect(JSON.parse(out).notes.join(' ')).toMatch(/No stock was given/);
    expect(readdirSync(place.path('.')).length).toBe(before);
  });

  test('says first of all what was assumed, and only once', async () => {
    const { out } = await place.charcast('forecast', job, '--out', place.path('assumed'));
    const plain = out.replace(/\s+/g, ' ');
    expect(plain).toMatch(
      /^\S+, forecast for an assumed 5 W gantry on poplar plywood No machine was given: a gantry of 5 W with a spot of 0\.1 mm and everyday limits was assumed\. Give yours with --machine\. No material was given: poplar plywood was assumed\. It takes/,
    );
    expect(plain.match(/was given: a gantry/g)).toHaveLength(1);
    const report = JSON.parse(readFileSync(`${place.path('assumed')}/report.json`, 'utf8'));
    expect(report.notes.join(' ')).toMatch(/No machine was given/);
  });

  test('status 1 where there is something above a note', async () => {
    const odd = place.write('odd.nc', `${SQUARE}G38.2 X5 F100\n`);
    const { status, out } = await place.charcast('forecast', odd, '--machine', machine, '--json');
    expect(status).toBe(1);
    expect(JSON.parse(out).findings[0]).toMatchObject({ kind: 'not-simulated', line: 9 });
  });
});

describe('what cannot be forecast: status 2 and one plain sentence', () => {
  const sentence = async (words: string[], pattern: RegExp): Promise<void> => {
    const { status, out, err } = await place.charcast(...words);
    expect(err).toMatch(pattern);
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(out).toBe('');
    expect(status).toBe(2);
  };

  test('a missing file, a folder, a missing machine', async () => {
    await sentence(['forecast', place.path('none.nc')], /none\.nc: found no such file/);
    mkdirSync(place.path('folder'));
    await sentence(['forecast', place.path('folder')], /folder: found a folder; expected a (G-code )?file/);
    await sentence(['forecast', job, '--machine', place.path('none.json')], /none\.json: found no such file/);
  });

  test('a job that means nothing names file, line, what was found and expected', async () => {
    const bad = place.write('bad.nc', 'G21\nG1 X0,5 F600\n');
    await sentence(['forecast', bad], /bad\.nc, line 2: .*expected/);
  });

  test('profiles: not JSON, a wrong value, an unknown field', async () => {
    const profile = (text: string) => ['forecast', job, '--machine', place.write('profile.json', text)];
    await sentence(profile('{'), /profile\.json, line 1: found text that is not JSON/);
    await sentence(profile('{}'), /profile\.json: found nothing for laser; expected/);
    await sentence(
      profile('{"laser":{"optical_power_w":-1}}'),
      /found -1 for laser\.optical_power_w; expected a value above 0/,
    );
    await sentence(profile('{"laser":{"optical_power_w":1,"watts":5}}'), /unknown field laser\.watts/);
    await sentence(profile('{"laser":{"optical_power_w":1},"max_speed_mm_s":[1,2]}'), /max_speed_mm_s/);
  });

  test('options: stock, cell, material, an unknown option, no job', async () => {
    await sentence(['forecast', job, '--stock', '40,30'], /found --stock 40,30; expected width x height/);
    await sentence(['forecast', job, '--stock', '0x30'], /found --stock 0x30; expected/);
    await sentence(['forecast', job, '--cell', '-1'], /found --cell -1; expected a size in mm/);
    await sentence(
      ['forecast', job, '--material', 'cheese'],
      /found --material cheese.*expected a file or one of .*basswood/,
    );
    // What every object has is no wood.
    await sentence(
      ['forecast', job, '--material', 'constructor'],
      /found --material constructor.*known wood/,
    );
    await sentence(['forecast', job, '--frob'], /unknown option '--frob'/);
    await sentence(['forecast'], /missing required argument 'jobs'/);
    await sentence(['frob'], /unknown command 'frob'/);
  });

  test('an input is never overwritten, and a failed run leaves no half file', async () => {
    const folder = place.path('own');
    mkdirSync(folder);
    const name = `${folder}/report.json`;
    place.write('own/report.json', SQUARE);
    const before = readFileSync(name, 'utf8');
    await sentence(
      ['forecast', name, '--machine', machine, '--out', folder],
      /report\.json: found an output that would overwrite an input/,
    );
    expect(readFileSync(name, 'utf8')).toBe(before);
    expect(readdirSync(folder).filter((file) => file.endsWith('.part'))).toEqual([]);
    expect(statSync(name).size).toBe(before.length);
  });
});

test('help is help, not an error', async () => {
  const { status, out } = await place.charcast('forecast', '--help');
  expect(status).toBe(0);
  expect(out).toMatch(/--stock/);
});

test('a default that means something else than its number is told by what it means', async () => {
  const { out } = await place.charcast('view', '--help');
  expect(out.replace(/\s+/g, ' ')).toContain('at 127.0.0.1 only (default: any free one) ');
  expect(out).not.toContain('(default: 0)');
});

test('the heat that stays is followed, with a map of it, unless --cool leaves it out', async () => {
  const rows = Array.from({ length: 30 }, (_, k) => {
    const [from, to] = k % 2 === 0 ? [10, 13] : [13, 10];
    return `G1 X${from! * 2 - (from! + to!) / 2} Y${10 + 0.16 * k} S0\nG1 X${from}\nX${to} S350`;
  });
  const fill = place.write(
    'fill.nc',
    `G21 G90\nM4 S0\nG0 X5 Y10\nF6000\n${rows.join('\n')}\nG1 X16 S0\nM5\n`,
  );
  const options = ['--machine', machine, '--material', 'basswood', '--stock', '30x30x4@0,0'];
  const run = (out: string, ...more: string[]) =>
    place.charcast('forecast', fill, ...options, '--out', out, ...more);
  const [plain, warm] = [place.path('plain'), place.path('warm')];
  await run(plain, '--cool');
  const { err } = await run(warm, '--how-sure');
  expect(err).toBe('');
  expect(readdirSync(plain)).not.toContain('warmth.npy');
  expect(readdirSync(warm)).toContain('warmth.npy');
  // … nor is the map of how sure it is.
  expect(readdirSync(plain)).not.toContain('sure.png');
  expect([...readFileSync(`${warm}/sure.png`).subarray(1, 4)]).toEqual([...Buffer.from('PNG')]);
  const report = JSON.parse(readFileSync(`${warm}/report.json`, 'utf8'));
  const { shape, data } = readNpy(`${warm}/warmth.npy`);
  expect(shape).toEqual([report.warmth.grid.ny, report.warmth.grid.nx]);
  // The map covers what burns, 3 mm wide, and a little around it.
  const widthMm = report.warmth.grid.nx * report.warmth.grid.cell_mm;
  expect(widthMm).toBeGreaterThan(3);
  expect(widthMm).toBeLessThan(6);
  expect(report.warmth.grid.x0_mm).toBeLessThan(10);
  expect(report.warmth.grid.x0_mm).toBeGreaterThan(8.5);
  expect(Math.max(...data)).toBeCloseTo(report.warmth.most_k, 1);
  expect(report.warmth.most_k).toBeGreaterThan(30);
  expect(report.notes.join(' ')).toMatch(/up to \d+ K warmer/);
  expect(JSON.parse(readFileSync(`${plain}/report.json`, 'utf8')).warmth).toBeNull();
  expect(readFileSync(`${warm}/dose.npy`).equals(readFileSync(`${plain}/dose.npy`))).toBe(true);
  expect(readFileSync(`${warm}/burn.png`).equals(readFileSync(`${plain}/burn.png`))).toBe(false);
  // Maps of an earlier run are not deleted, and not passed off as those of a later one.
  const { out: again } = await run(warm, '--cool');
  expect(again.trim().split('\n').at(-1)).toBe(
    `Left from an earlier forecast, not of this one: ${warm}/warmth.npy, ${warm}/sure.png`,
  );
});

test('charcast demo forecasts the first piece and says where the pictures are', async () => {
  const out = place.path('demo');
  const { status, out: said } = await place.charcast('demo', 'marker', '--out', out);
  expect(status).toBe(0);
  expect(readdirSync(`${out}/marker`).sort()).toEqual([
    'burn.png',
    'dose.npy',
    'dose.png',
    'report.json',
    'warmth.npy',
  ]);
  expect(said).toMatch(/Basil marker/);
});
