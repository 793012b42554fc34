import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { FONT_FILE, readFont } from '../../src/demo/lettering.ts';

export const fontPath = createRequire(import.meta.url).resolve(FONT_FILE);

/** The font the demo is set in. */
export const font = readFont(new Uint8Array(readFileSync(fontPath)).buffer);
