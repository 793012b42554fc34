import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';

/** Jobs with feed moves that have no feed: refused, or forecast and written with the one of `--feed`. */

const place = workplace();
const job = place.write('leaf.nc', 'G21 G90\nM3 S0\nG0 X10 Y10\nG1 X22 S400\nY18\nX10\nY10\nM5\nM2\n');
const other = place.write(
  'edge.nc',
  'G21 G90\nM3 S0\nG0 X10 Y10\nG1 X22 S400 F1200\nY18\nX10\nY10\nM5\nM2\n',
);

describe('--feed', () => {
  test('without it the job is refused, and the sentence offers it', async () => {
    const { status, err } = await place.charcast('forecast', job);
    expect(status).toBe(2);
    expect(err).toMatch(
      /^charcast: .*leaf\.nc, line 4: found a feed move \(G1\) with no feed; expected F above 0 .*, or --feed MM_PER_MIN to give one.*\n$/,
    );
  });

  test('with it the job is forecast, and a finding says so', async () => {
    const { status, out } = await place.charcast('forecast', job, '--feed', '1200', '--json');
    expect(status).toBe(1);
    const { findings, operations } = JSON.parse(out);
    const finding = findings.find(({ kind }: { kind: string }) => kind === 'controller-may-stop');
    expect(finding).toMatchObject({ severity: 'warning', line: 4, measure: { count: 4 } });
    expect(finding.message).toMatch(/it has the 1200 mm\/min that were given/);
    expect(finding.remedy).toBe('Write F1200 on that line.');
    expect(operations).toMatchObject([{ feed_mm_min: 1200 }]);
  });

  test('an adjusted job carries the feed', async () => {
    const out = place.path('adjusted.nc');
    const { err } = await place.charcast(
      'adjust',
      job,
      '--feed',
      '1200',
      '--change',
      '1: power 50%',
      '-o',
      out,
    );
    expect(err).toBe('');
    expect(readFileSync(out, 'latin1')).toMatch(/^G1 X22 S500 F1200$/m);
  });

  test.each(['view', 'compare', 'chart'])('%s takes it', async (command) => {
    const more = {
      view: ['--save', place.path('page.html')],
      compare: [other, '--out', place.path('c')],
      chart: ['-o', place.path('c.png')],
    };
    const words = [command, job, ...more[command as keyof typeof more]];
    expect((await place.charcast(...words)).err).toMatch(/with no feed/);
    const { status, err } = await place.charcast(...words, '--feed', '1200');
    // The page needs the viewer to be built.
    if (command === 'view' && /no built viewer/.test(err)) return;
    expect(err).toBe('');
    expect(status).toBeLessThan(2);
  });

  test.each(['0', '-5', '1e9', 'fast', ''])('%j is refused', async (feed) => {
    const { status, err } = await place.charcast('forecast', job, '--feed', feed);
    expect(status).toBe(2);
    expect(err).toMatch(/found --feed .*; expected a feed in mm\/min from 0\.01 to 1000000/);
  });
});

test('several problems of a file are told at once, a line each', async () => {
  const bad = place.write('bad.nc', 'G0 X1,5\nG1 X2 F-1\nG4\nX1,7\n');
  const { status, err } = await place.charcast('forecast', bad);
  expect(status).toBe(2);
  expect(
    err
      .trim()
      .split('\n')
      .map((line) => line.trim().replace(/.*bad/, 'bad')),
  ).toEqual([
    'bad.nc, line 1: found a comma; expected a point as the decimal sign, as in X0.5 (and so on further lines)',
    'bad.nc, line 2: found F-1; expected a feed of 0 or more',
    'bad.nc, line 3: found G4 without a time; expected P, as in G4 P0.5',
  ]);
});
