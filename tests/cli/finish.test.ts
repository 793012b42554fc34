import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';

/** The demo's marker did not come through; what finishes it on the same board. */

const demo = (name: string) => fileURLToPath(new URL(`../../src/demo/${name}`, import.meta.url));
const place = workplace();
const bench = ['--machine', demo('machines/bench-gantry.json'), '--stock', '130x32x4@0,0', '--cell', '0.3'];
const text = readFileSync(demo('jobs/marker.nc'), 'latin1');
const job = place.write('marker.nc', text);

describe('charcast finish', () => {
  test('writes the cut alone, with the passes it tells of, and what must hold before', async () => {
    const file = place.path('finish.nc');
    const { status, out, err } = await place.charcast(
      'finish',
      job,
      ...bench,
      '--reached',
      '3: 1.6mm',
      '-o',
      file,
    );
    expect([status, err]).toEqual([0, '']);
    const told = out.replace(/\s+/g, ' ');
    const passes = Number(
      /Operation 3 reached 1\.6 of 4 mm in 2 passes\. (\d+) more passes make it 19 of 20/.exec(told)![1],
    );
    expect(told).toMatch(/The board must not have moved/);
    expect(told).toMatch(/2\.8 mm below the top of the board/);
    expect(told).toMatch(/Wear eyewear/);
    const written = readFileSync(file, 'latin1');
    const starts = written.match(/^G1 X82\.811|^X82\.811/gm);
    expect(starts).toHaveLength(passes);
    expect(written).not.toMatch(/S[2-9]\d\d\b/); // the engraving's power
    const report = JSON.parse((await place.charcast('forecast', file, ...bench, '--json')).out);
    expect(report.operations).toMatchObject([
      { n: 1, kind: 'outline', passes, s_max: 1000, feed_mm_min: 900 },
    ]);
    // By itself it would neither come through whole wood nor has it any: nothing is said of either.
    expect(report.cuts).toEqual([]);
    expect(report.operations[0].tone).toBeNull();
    expect(report.findings.map(({ kind }: { kind: string }) => kind)).not.toContain('not-through');
    expect(report.notes.join(' ')).toMatch(/This job burns what is left of a cut that was begun/);
    expect(written.match(/^; burns what is left of a cut that was begun$/gm)).toHaveLength(1);
    for (const words of [
      ['learn', file, ...bench, '--say', '1: 3mm', '-o', place.path('never.json')],
      ['finish', file, ...bench, '--reached', '1: 3mm', '-o', place.path('never.nc')],
    ]) {
      const refused = await place.charcast(...words);
      expect(refused.status).toBe(2);
      expect(refused.err).toMatch(/finish\.nc: found a job that (itself )?finishes a cut/);
    }
  });

  test('never over the job, and nothing is written where it cannot be', async () => {
    const over = await place.charcast('finish', job, ...bench, '--reached', '1.6mm', '-o', job);
    expect(over.status).toBe(2);
    expect(readFileSync(job, 'latin1')).toBe(text);
    const file = place.path('never.nc');
    for (const [words, sentence] of [
      [[...bench, '--reached', '3: burnt'], /--reached: found “burnt”; expected through/],
      [
        [...bench, '--reached', '1: 1 mm'],
        /marker\.nc: found operation 1, which is rows; expected an outline/,
      ],
      // What it would say of findings is not asked here.
      [[...bench, '--reached', '3: 1 mm', '--deepest', '10'], /unknown option '--deepest'/],
      [[...bench, '--reached', '3: 9 mm'], /found a depth of 9 mm reached in a board of 4 mm/],
      [bench.slice(0, 2).concat('--reached', '3: 1 mm'), /found no thickness of the board; expected --stock/],
    ] as const) {
      const { status, err } = await place.charcast('finish', job, ...words, '-o', file);
      expect(status).toBe(2);
      expect(err).toMatch(sentence);
    }
    expect(existsSync(file)).toBe(false);
  });
});
