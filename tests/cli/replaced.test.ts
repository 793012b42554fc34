import { expect, test } from 'vitest';
import { NUMBERED } from '../machine/listings.ts';
import { workplace } from '../support/workplace.ts';

/** Whatever an option -o names may be a person's own file: what stood there is named when it is replaced. */

const place = workplace();
const listing = place.write('settings.txt', NUMBERED);
const job = place.write('square.nc', 'G21 G90\nM4 S0\nG0 X5 Y5\nG1 X15 S900 F600\nY15\nX5\nY5\nM5\nM2\n');
const bench = ['--stock', '20x20x3@0,0', '--cell', '0.2'];

test.each<[string, string, string[]]>([
  ['machine', 'mine.json', ['--from', listing, '--power', '5']],
  ['adjust', 'adjusted.nc', [job, ...bench, '--change', '1: speed 500']],
  ['finish', 'finished.nc', [job, ...bench, '--reached', '1: 1.5 mm']],
  ['learn', 'learned.json', [job, ...bench, '--say', '1: as forecast']],
  ['swatch', 'swatch.nc', ['--stock', '60x50x4']],
])('%s', async (command, name, words) => {
  const out = place.path(name);
  const run = () => place.charcast(command, ...words, '-o', out);
  const first = await run();
  expect(first.err).toBe('');
  expect(first.out).not.toContain('Replaced');
  const second = await run();
  // A swatch's key is never replaced, and says so itself.
  if (command === 'swatch') expect(second.err).toContain('swatch.json');
  else expect(second.out).toContain(`\nReplaced, as it stood there before: ${out}`);
});
