import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';

const place = workplace();
/** A line and nothing else: no finding above a note. */
const CALM = 'G21 G90\nM4 S0\nG0 X10 Y10\nG1 X40 S300 F1200\nS0\nM5\nM2\n';
/** A job that stands with the beam on. */
const LEFT_ON = 'G21 G90\nM3 S500\nG1 X10 F600\nG4 P3\nX20\nM5\n';
const BAD = 'G21 G90\nG1 X10 S100\n';
const stock = ['--stock', '60x40x3'];

describe('several jobs at once', () => {
  const calm = place.write('calm.nc', CALM);
  const hot = place.write('left-on.nc', LEFT_ON);
  const bad = place.write('bad.nc', BAD);

  test('are a table, and the exit status is the worst', async () => {
    const { status, out } = await place.charcast('forecast', calm, hot, ...stock);
    expect(status).toBe(1);
    const lines = out.split('\n');
    expect(lines[0]).toMatch(/^job +time +size, mm +comes through +findings$/);
    expect(lines[1]).toMatch(/calm\.nc +[\d.]+ s +30 × 0 +no cut in it +none$/);
    expect(lines[2]).toMatch(/left-on\.nc .*[1-9] serious$/);
    // Columns stand under each other.
    const at = lines[0]!.indexOf('findings');
    expect(lines[2]!.slice(at - 2, at)).toBe('  ');
    expect(out).toContain('A forecast is not a safety clearance.');
  });

  test('one that cannot be read is told, and the others go on', async () => {
    const { status, out } = await place.charcast('forecast', bad, calm, ...stock);
    expect(status).toBe(2);
    expect(out).toMatch(/bad\.nc +could not be forecast/);
    expect(out.replace(/\s+/g, ' ')).toMatch(/bad\.nc, line 2: found .*feed/);
    expect(out).toMatch(/calm\.nc +[\d.]+ s/);
  });

  test('each is written to a folder of its own, and told as JSON', async () => {
    const folder = place.path('out');
    const { status, out } = await place.charcast('forecast', calm, hot, ...stock, '--out', folder, '--json');
    expect(status).toBe(1);
    const told = JSON.parse(out);
    expect(told.map((each: { job: string }) => each.job)).toEqual([calm, hot]);
    for (const name of ['calm', 'left-on']) expect(existsSync(`${folder}/${name}/burn.png`)).toBe(true);
    const written = JSON.parse(readFileSync(`${folder}/calm/report.json`, 'utf8'));
    expect(told[0].report.energy_j).toBe(written.energy_j);
    const again = await place.charcast('forecast', calm, calm, ...stock, '--out', folder);
    expect(again.status).toBe(2);
    expect(again.err).toContain('found two jobs that would both be written to');
  });
});
