import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';
import { run } from '../../src/cli/run.ts';

/** A folder of its own for a test file's command-line runs, gone afterwards. */
export function workplace() {
  const folder = mkdtempSync(join(tmpdir(), 'charcast-test-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  return {
    path: (name: string) => join(folder, name),
    write(name: string, content: string | Uint8Array): string {
      const path = join(folder, name);
      writeFileSync(path, content);
      return path;
    },
    /** Runs `charcast …` in this process and returns its status and what it said. */
    async charcast(...words: string[]): Promise<{ status: number; out: string; err: string; waits: string }> {
      let out = '';
      let err = '';
      let waits = '';
      const status = await run(words, {
        out: (text) => {
          out += `${text}\n`;
        },
        err: (text) => {
          err += `${text}\n`;
        },
        wait: (text) => {
          waits += `${text}\n`;
        },
      });
      return { status, out, err, waits };
    },
  };
}
