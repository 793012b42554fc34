import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { depthRangeWords, shadeRangeWords } from '../../src/sure/words.ts';
import { publishedTable } from '../burn/published.ts';
import { toleranceTable } from '../dose/tolerances.ts';
import { demoForecast } from '../support/demo-forecasts.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const documents = ['README.md', 'DEVELOPERS.md', 'src/burn/MODEL.md'];
const read = (name: string) => readFileSync(`${root}/${name}`, 'utf8');

describe('the documents', () => {
  test.each(documents)('%s links only to what exists', (name) => {
    const folder = name.includes('/') ? `${name.slice(0, name.lastIndexOf('/'))}/` : '';
    const targets = Array.from(read(name).matchAll(/\]\(([^)#]+)(#[^)]*)?\)/g), ([, target]) => target!);
    const missing = targets.filter(
      (target) => !/^https?:/.test(target) && !existsSync(`${root}/${folder}${target}`),
    );
    expect(missing).toEqual([]);
  });

  test('the README opens with the job, a picture and the two commands', () => {
    const opening = read('README.md').split('## ')[0]!;
    expect(opening.indexOf('![')).toBeGreaterThan(200);
    expect(opening).toMatch(/npm ci && npm start/);
    expect(opening).toMatch(/npm ci && npm test/);
    expect(opening).toMatch(/never a safety clearance/);
  });

  test.each([
    ['published checks', publishedTable()],
    ['tolerances', toleranceTable()],
  ])('the README’s table of %s is what the tests hold today', (name, expected) => {
    const [, table] = new RegExp(`<!-- ${name}[^>]*-->\\n([\\s\\S]*?)<!-- end`).exec(read('README.md'))!;
    // The formatter aligns the columns: only the words count.
    const words = (text: string) =>
      text
        .trim()
        .replace(/ +/g, ' ')
        .replace(/-{2,}/g, '-')
        .replace(/ ?\| ?/g, '|');
    expect(words(table!)).toBe(words(expected));
  });

  test('the README quotes of the first marker’s engraving what is forecast of it', async () => {
    const { engravings } = await demoForecast('marker');
    const [told] = engravings;
    const quoted = `${shadeRangeWords(told!, true)}${depthRangeWords(told!)}`;
    expect(read('README.md').replaceAll(/\s+/g, ' ')).toContain(`_${quoted}_`);
  });

  test('the README’s library example runs and gives what it states', () => {
    const [, code] = /```ts\n([\s\S]*?)```/.exec(read('README.md'))!;
    // `expression; // value`, the value as JSON, or with as many decimals as are stated; words may follow a colon.
    const stated: string[] = [];
    const shown = code!.replace(
      /^( *)([^\n=]+(?: === [^\n]+)?); \/\/ ('.*'|\[.*\]|[\w.]+)(?::.*)?$/gm,
      (_, indent, expression, value) => {
        stated.push(value);
        return `${indent}console.log(JSON.stringify(${expression}));`;
      },
    );
    expect(stated.length).toBeGreaterThanOrEqual(9);
    const said = execFileSync('node', ['--input-type=module', '-e', shown], { cwd: root, encoding: 'utf8' })
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as unknown);
    const asStated = said.map((value, k) => {
      if (typeof value === 'string') return `'${value}'`;
      if (typeof value === 'number') return value.toFixed(stated[k]!.split('.')[1]?.length ?? 0);
      return Array.isArray(value) ? `[${value.join(', ')}]` : String(value);
    });
    expect(asStated).toEqual(stated);
  });
});
