import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { demoJobs, demoMachines } from '../../src/demo/index.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { workplace } from '../support/workplace.ts';

const place = workplace();

test('demo --write writes every job and machine of the demo, and a settings listing', async () => {
  const folder = place.path('garden');
  const { status, out, err } = await place.charcast('demo', '--write', folder);
  expect([status, err]).toEqual([0, '']);
  expect(readdirSync(folder).sort()).toEqual(
    [
      ...demoJobs.map(({ name }) => `${name}.nc`),
      ...Object.keys(demoMachines).map((name) => `${name}.json`),
      'settings.txt',
    ].sort(),
  );
  for (const job of demoJobs) {
    expect(readFileSync(`${folder}/${job.name}.nc`, 'utf8') === (await job.readText())).toBe(true);
    expect(out).toContain(`${job.name}.nc: `);
  }
  for (const [name, profile] of Object.entries(demoMachines))
    expect(readMachine(JSON.parse(readFileSync(`${folder}/${name}.json`, 'utf8')))).toEqual(
      readMachine(profile),
    );
  expect(out.replace(/\s+/g, ' ')).toContain('For bench-gantry.json, --stock 130x32x4@0,0.');
});

test('it writes again over its own files, and over none that was changed', async () => {
  const folder = place.path('garden');
  expect((await place.charcast('demo', '--write', folder)).status).toBe(0);
  writeFileSync(`${folder}/marker.nc`, 'G21\n; mine\n');
  const { status, out, err } = await place.charcast('demo', '--write', folder);
  expect([status, out]).toEqual([2, '']);
  expect(err).toMatch(/marker\.nc: found a file of that name that is not as the demo writes it; expected/);
  expect(readFileSync(`${folder}/marker.nc`, 'utf8')).toBe('G21\n; mine\n');
});

test('it tells what comes after the burn in three commands, which work as they stand', async () => {
  const folder = place.path('story');
  const { out } = await place.charcast('demo', '--write', folder);
  const commands = [...out.matchAll(/^ {2}charcast (.*)$/gm)].map(([, words]) =>
    [...words!.matchAll(/"([^"]*)"|(\S+)/g)].map(([, quoted, plain]) => quoted ?? plain!),
  );
  expect(commands.map(([name]) => name)).toEqual(['finish', 'learn', 'forecast']);
  const said: string[] = [];
  for (const words of commands) {
    // What is written, and the wood that is then read, lie beside the demo's files.
    const placed = words.map((word) =>
      ['finish.nc', 'garden-wood.json', 'next-time'].includes(word) ? `${folder}/${word}` : word,
    );
    const { out: told, err } = await place.charcast(...placed, '--cell', '0.3');
    expect(err).toBe('');
    said.push(told.replace(/\s+/g, ' '));
  }
  expect(said[1]).toMatch(/^Learned: /);
  expect(said[2]).toMatch(/Operation 3/);
  expect(readdirSync(folder)).toEqual(expect.arrayContaining(['finish.nc', 'garden-wood.json', 'next-time']));
}, 120_000);
