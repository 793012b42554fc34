import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoJobs, demoMachines } from '../../src/demo/index.ts';
import { InputError } from '../../src/errors.ts';
import { headOf, recognise, refuseOther, type Wanted } from '../../src/recognise/recognise.ts';
import { makeSwatch } from '../../src/swatch/make.ts';
import { board, FILES, machine } from './files.ts';

describe('a file is known by its content', () => {
  test.each(FILES)('%s', (_name, file, kind, what) => {
    const found = recognise(headOf(file));
    expect(found?.kind ?? null).toBe(kind);
    if (what) expect(found!.what).toMatch(what);
  });

  test('every job of the demo is one, and every profile is what it is', async () => {
    for (const job of demoJobs) expect(recognise(await job.readText())?.kind).toBe('job');
    for (const profile of Object.values(demoMachines))
      expect(recognise(JSON.stringify(profile))?.kind).toBe('machine');
    for (const each of Object.values(shippedMaterials))
      expect(recognise(JSON.stringify(each))?.kind).toBe('wood');
    expect(recognise(makeSwatch(machine, board).gcode)?.kind).toBe('job');
  });

  test('a bit of its beginning tells as much as the whole', () => {
    for (const [, file, kind] of FILES.slice(0, 19))
      expect(recognise(headOf(file.subarray(0, 200)))?.kind).toBe(kind);
  });
});

describe('what is asked for, and what was given', () => {
  const WANTED: readonly Wanted[] = ['job', 'listing', 'machine', 'wood', 'swatch', 'photo'];
  const refusal = (file: Uint8Array, wanted: Wanted): InputError | null => {
    try {
      refuseOther(headOf(file), wanted, 'it.x');
      return null;
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      return error;
    }
  };

  test.each(WANTED)('%s: the right kind passes, every other gets one sentence', (wanted) => {
    for (const [name, file, kind] of FILES) {
      const error = refusal(file, wanted);
      const passes =
        kind === null ||
        kind === wanted ||
        (kind === 'json' && ['machine', 'wood', 'swatch'].includes(wanted)) ||
        (name.startsWith('job that sets the controller') && wanted === 'listing');
      expect(error === null, `${name} for ${wanted}`).toBe(passes);
      if (error === null) continue;
      expect(error.source).toBe('it.x');
      expect(error.sentence).toMatch(/^found .+; expected [^:;]+: [^\n]+[^.\n]$/);
      expect(error.sentence.length).toBeLessThan(300);
    }
  });

  test.each<[string, Wanted, RegExp]>([
    ['numbered listing', 'job', /charcast machine --from it\.x --power 10W -o my-machine\.json makes/],
    ['machine profile', 'job', /charcast forecast job\.nc --machine it\.x$/],
    ['wood profile', 'job', /--material it\.x$/],
    ['swatch', 'job', /charcast fit --swatch it\.x --photo photo\.jpg/],
    ['PNG', 'job', /makes no G-code from pictures; it reads photos of a burned swatch \(charcast fit\)/],
    ['SVG by a prefix', 'job', /makes no G-code from drawings/],
    ['filament', 'job', /has no beam, so there is no burn to forecast$/],
    ['job', 'machine', /^found G-code; expected a machine profile: .* charcast forecast it\.x$/],
    ['HEIC', 'photo', /save or export it as one$/],
  ])('%s as a %s', (name, wanted, sentence) => {
    const file = FILES.find(([each]) => each === name)![1];
    expect(refusal(file, wanted)!.sentence).toMatch(sentence);
  });

  test('whatever the bytes are, it is decided, the same every time', () => {
    const piece = fc.oneof(
      fc.string(),
      fc.constantFrom(
        '$110=',
        'G1 X1 E1\n',
        '{"',
        '"patches":',
        '<svg ',
        '\n',
        '((',
        'M203 X',
        '0\nSECTION\n',
        'BM',
      ),
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 40 }), (pieces) => {
        const text = pieces.join('');
        expect(recognise(text)).toEqual(recognise(text));
      }),
      { numRuns: 500 },
    );
  });
});
