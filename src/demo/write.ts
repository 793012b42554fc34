/**
 * Writes the demo's G-code into jobs/: `npm run demo:write`. Run it after a change to the drawings or the
 * settings; a test compares the files with what the generator makes.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { FONT_FILE, readFont } from './lettering.ts';
import { makeJobs } from './make.ts';

const fontBytes = readFileSync(createRequire(import.meta.url).resolve(FONT_FILE));
const jobs = makeJobs(readFont(new Uint8Array(fontBytes).buffer));

for (const [name, text] of Object.entries(jobs)) {
  writeFileSync(new URL(`./jobs/${name}.nc`, import.meta.url), text);
  console.log(`jobs/${name}.nc: ${text.split('\n').length - 1} lines, ${Math.round(text.length / 1000)} kB`);
}
