import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';

const place = workplace();
const SQUARE =
  'G21 G90 ; a square\r\nM3 S0\r\nG0 X5 Y5\r\nG1 X25 S200 F1800\r\nG1 Y15\r\nG1 X5\r\nG1 Y5\r\nM5\r\n';
const machine = place.write(
  'machine.json',
  JSON.stringify({ name: 'test gantry', laser: { optical_power_w: 8 } }),
);
const job = place.write('square.nc', SQUARE);
const bench3 = ['--machine', machine, '--stock', '40x30x4', '--cell', '0.1'];

describe('charcast adjust', () => {
  test('changes only what must change, and says what that does', async () => {
    const out = place.path('new.nc');
    const { status, out: said } = await place.charcast(
      'adjust',
      job,
      ...bench3,
      '--change',
      '1: proportional, speed 900',
      '-o',
      out,
    );
    const lines = readFileSync(out, 'latin1').split('\r\n');
    expect(lines).toHaveLength(SQUARE.split('\r\n').length);
    expect(lines[1]).toBe('M4 S0');
    expect(lines[3]).toBe('G1 X25 S200 F900');
    expect(lines.filter((line, k) => line !== SQUARE.split('\r\n')[k])).toHaveLength(2);
    expect(said).toMatch(/Changed: 1: .*proportional/);
    expect(said).toMatch(/no longer has: dark/);
    expect(status).toBe(0);
    expect(readFileSync(job, 'latin1')).toBe(SQUARE);
  });

  test('a scale that is another is not mended by more power', async () => {
    const pin = place.write('pin.nc', SQUARE.replace('S200', 'S255'));
    const given = ['--change', '1: power 60%', '-o', place.path('more.nc')];
    const { out: said } = await place.charcast('adjust', pin, ...bench3, ...given);
    expect(said).not.toMatch(/another scale/);
    expect(said).toMatch(/^findings +\d+ +[1-9]/m);
    const { out: told } = await place.charcast('adjust', pin, ...bench3, '--advised', ...given);
    expect(told.replace(/\s+/g, ' ')).toMatch(
      /left as it is: - power on another scale\. Look whether full power is S1000 on the controller too/,
    );
  });

  test('--advised makes the findings’ changes, and they go away', async () => {
    const out = place.path('advised.nc');
    const before = JSON.parse((await place.charcast('forecast', job, ...bench3, '--json')).out);
    expect(before.findings.length).toBeGreaterThan(0);
    expect((await place.charcast('adjust', job, ...bench3, '--advised', '-o', out)).status).toBe(0);
    const after = JSON.parse((await place.charcast('forecast', out, ...bench3, '--json')).out);
    expect(after.findings).toEqual([]);
  });

  test('--advised says what it does not mend, with what to do about it', async () => {
    const rows = Array.from({ length: 12 }, (_, k) => {
      const [from, to] = k % 2 === 0 ? [5, 25] : [25, 5];
      return `G0 X${from} Y${(18 + k * 0.5).toFixed(1)}\nG1 X${to} S150 F900\n`;
    }).join('');
    const striped = place.write('striped.nc', SQUARE.replace('M5', `M4 S0\r\n${rows}M5`));
    const out = place.path('striped-advised.nc');
    const { status, out: said } = await place.charcast('adjust', striped, ...bench3, '--advised', '-o', out);
    expect(said).toMatch(/no longer has: .*dark/);
    expect(said).toMatch(
      /\nStill not mended:\n- stripes between rows in operation 2\. Lay the rows [\d.]+ mm/,
    );
    expect(said.replace(/\s+/g, ' ')).toMatch(/Lay the rows .* Not done: this is for you to decide or do\./);
    expect(status).toBe(1);
    const left = place.path('nothing.nc');
    const again = await place.charcast('adjust', out, ...bench3, '--advised', '-o', left);
    expect(again.out).toMatch(/nothing was written\.\n\nStill not mended:\n- stripes/);
    // As of a forecast: the job as it is has a warning.
    expect(again.status).toBe(1);
    expect(existsSync(left)).toBe(false);
    // A change could move the job: by how much, or onto which board, is the person's to say.
    const small = ['--machine', machine, '--stock', '24x30x4', '--cell', '0.1', '--advised', '-o', left];
    const off = (await place.charcast('adjust', job, ...small)).out.replace(/\s+/g, ' ');
    expect(off).toMatch(
      /burning beside the board in operation 1\. Move the burn 2\.5 mm to the left; it fits the board then\. Not done: where the job lies is for you to decide; the change “all: shift -2\.5x0 mm” moves it so\./,
    );
    expect(off).not.toMatch(/No change of settings does/);
  });

  test('--advised burns nothing more beside the board, and says what to type so that the job lies on it', async () => {
    const off = place.write('off.nc', 'G21 G90\nG0 X70 Y30\nM4 S800\nG1 X110 F600\nY70\nX70\nY30\nM5\n');
    const out = place.path('on.nc');
    const stock = ['--stock', '100x50x3@0,0'];
    const none = await place.charcast('adjust', off, ...stock, '--advised', '-o', out);
    expect(existsSync(out)).toBe(false);
    const said = none.out.replace(/\s+/g, ' ');
    expect(said).toMatch(/“1: passes \d+” would burn the bed more; first lay the job on the board\./);
    const shift =
      /Not done: where the job lies is for you to decide; the change “(all: .*?)” moves it so\./.exec(
        said,
      )![1]!;
    expect(shift).toBe('all: shift -11.5x-21.5 mm');
    const some = await place.charcast('adjust', off, ...stock, '--advised', '--change', shift, '-o', out);
    expect(some.out).toMatch(/Changed: 1: passes \d+; all: shift/);
    // What is asked for already counts: the rest of the way goes on top of it.
    const half = ['--change', 'all: shift -1.5x0'];
    const again = await place.charcast(
      'adjust',
      off,
      ...stock,
      '--advised',
      ...half,
      '-o',
      place.path('h.nc'),
    );
    expect(again.out.replace(/\s+/g, ' ')).toContain('the change “all: shift -11.5x-21.5 mm” moves it so.');
  });

  test('never over its input, never without a change, never a change it cannot read', async () => {
    const over = await place.charcast('adjust', job, ...bench3, '--change', '1: speed 900', '-o', job);
    expect(over).toMatchObject({ status: 2, err: expect.stringMatching(/would overwrite an input/) });
    const none = await place.charcast('adjust', job, ...bench3, '-o', place.path('x.nc'));
    expect(none).toMatchObject({ status: 2, err: expect.stringMatching(/found nothing to change/) });
    const odd = await place.charcast(
      'adjust',
      job,
      ...bench3,
      '--change',
      '1: swiftly',
      '-o',
      place.path('x.nc'),
    );
    expect(odd).toMatchObject({
      status: 2,
      err: expect.stringMatching(/--change: found .*swiftly.*expected/),
    });
    const far = await place.charcast(
      'adjust',
      job,
      ...bench3,
      '--change',
      '7: speed 900',
      '-o',
      place.path('x.nc'),
    );
    expect(far).toMatchObject({ status: 2, err: expect.stringMatching(/operation 7; expected operation 1/) });
    expect(readFileSync(job, 'latin1')).toBe(SQUARE);
  });
});

describe('charcast compare', () => {
  test('one job, two settings: picture, numbers and page, and a table', async () => {
    const out = place.path('compared');
    const { status, out: said } = await place.charcast(
      'compare',
      job,
      ...bench3,
      '--b',
      '1: power 10%',
      '--out',
      out,
    );
    expect(readdirSync(out).sort()).toEqual(['compare.json', 'compare.png', 'report.html']);
    const data = JSON.parse(readFileSync(`${out}/compare.json`, 'utf8'));
    expect(data.b.energyJ / data.a.energyJ).toBeCloseTo(10 / 20, 3);
    expect(data.a.durationS).toBe(data.b.durationS);
    expect(said).toMatch(/^energy +[\d.]+ J +[\d.]+ J$/m);
    expect(readFileSync(`${out}/report.html`, 'utf8')).toMatch(/^<!doctype html>[\s\S]*<\/html>\n$/);
    expect(status).toBe(1);
  });

  test('two jobs, on a board that holds both', async () => {
    const other = place.write(
      'moved.nc',
      SQUARE.replace('M3', 'M4').replaceAll('X25', 'X35').replaceAll('X5', 'X15'),
    );
    const { out } = await place.charcast(
      'compare',
      job,
      other,
      '--machine',
      machine,
      '--cell',
      '0.1',
      '--json',
      '--out',
      place.path('two'),
    );
    const data = JSON.parse(out);
    expect([data.a.name, data.b.name]).toEqual(['square.nc', 'moved.nc']);
    expect(data.gone.length).toBeGreaterThan(0);
  });

  test('one job without changes is refused', async () => {
    expect(await place.charcast('compare', job, ...bench3)).toMatchObject({
      status: 2,
      err: expect.stringMatching(/found one job and no changes/),
    });
  });
});

test('forecast --change and --html: the changed job, and a page to send to a friend', async () => {
  const out = place.path('page');
  await place.charcast('forecast', job, ...bench3, '--change', 'all: power 35%', '--html', '--out', out);
  expect(readdirSync(out)).toContain('report.html');
  const report = JSON.parse(readFileSync(`${out}/report.json`, 'utf8'));
  expect(report.operations[0].s_max).toBe(350);
  expect(report.notes.join()).toMatch(/Changed settings: .*35/);
});
