import { describe, expect, test } from 'vitest';
import { type Notebook, readNotebook } from '../../src/outcome/notebook.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { type Answers, SHADES_SHOWN, saidWords } from '../../viewer/burned/answers.ts';
import { drop, go, jsonOf, quickSquare, SLOW, SQUARE, said, saving, settle, useWorld } from './world.ts';

/** After the burn: told in the page, learned from, noted, and found again where settings are wanted. */

const world = useWorld();

/** A field of rows, and a cut. */
const ROWS = Array.from(
  { length: 6 },
  (_, k) =>
    `G1 X${k % 2 === 0 ? 12 : 18} Y${(12 + k / 10).toFixed(1)} S0 F3000\nX${k % 2 === 0 ? 18 : 12} S600\n`,
).join('');
const JOB = `G21 G90\nM4 S0\nG0 X12 Y12\n${ROWS}M5\nM3 S0\nG0 X10 Y20\nG1 X40 S1000 F700\nM5\nM2\n`;

describe('what was said', () => {
  const nothing: Answers = { answer: null, depthMm: 1.6, uncutMm: 12, tone: 0.65, cornersDark: false };

  test('is what the command line reads, operation by operation', () => {
    const words = saidWords(
      new Map([
        [3, { ...nothing, answer: 'depth' }],
        [1, { ...nothing, answer: 'tone', cornersDark: true }],
        [2, { ...nothing, answer: 'all but' }],
        [4, nothing],
        [5, { ...nothing, answer: 'tone', tone: null }],
        [6, { ...nothing, answer: 'not through' }],
      ]),
    );
    expect(words).toBe('1: tone 65 %; 1: corners dark; 2: through but for 12 mm; 3: 1.6 mm; 6: not through');
    expect(readSaid(words).map(({ operation }) => operation)).toEqual([1, 1, 2, 3, 6]);
    expect(saidWords(new Map([[1, nothing]]))).toBe('');
  });

  test.each(SHADES_SHOWN)('the shade %d is read back as it is', (tone) => {
    const [told] = readSaid(saidWords(new Map([[1, { ...nothing, answer: 'tone', tone }]])));
    expect(told!.said).toEqual({ kind: 'tone', tone: expect.closeTo(tone, 9) });
  });
});

test(
  'a burn is told, learned from, kept, noted and found again; the notebook goes out and comes back as a file',
  async () => {
    const [square] = await quickSquare();
    const page = await world.open({
      jobs: [{ ...square!, text: JOB }],
      viewport: { width: 390, height: 844 },
    });
    await settle(page);
    await page.getByRole('button', { name: 'say how it turned out' }).click();
    // On a phone the whole page scrolls: another place begins right below the wood, in sight.
    const heading = page.getByRole('heading', { name: 'After the burn' });
    await heading.waitFor();
    const top = async () => (await heading.boundingBox())!.y;
    await expect.poll(top).toBeLessThan(500);
    expect(await top()).toBeGreaterThan(0);
    await page.getByLabel('how operation 1 turned out').selectOption('tone');
    await page.getByLabel('tone 35 %, tan').check();
    await page.getByLabel('how operation 2 turned out').selectOption('depth');
    await page.getByLabel('depth of operation 2, mm').fill('0.6');
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Learn from it' }).click();
    const learned = page.locator('.learned');
    await learned.waitFor();
    expect(await said(learned)).toMatch(/Learned: .*before .*now /);
    const wood = (await jsonOf(
      await saving(page.getByRole('button', { name: 'Save the wood as a file' })),
    )) as {
      name: string;
      history: unknown[];
    };
    expect(wood.name).toBe('my poplar plywood');
    expect(wood.history).toHaveLength(1);

    // Told again otherwise, it is still one burn.
    await page.getByLabel('how operation 1 turned out').selectOption('lighter');
    await page.getByRole('button', { name: 'Learn from it' }).click();
    await expect.poll(() => said(page.locator('.notebook'))).toContain('“lighter”');
    expect(await page.locator('.notebook > li').count()).toBe(1);
    expect(await page.locator('.notebook img').getAttribute('src')).toMatch(/^data:image\/jpeg/);

    await page.getByRole('button', { name: 'Put it on the bench and on the shelf' }).click();
    await expect.poll(() => said(learned)).toContain('my poplar plywood lies on the bench, and on the shelf');
    await settle(page);
    await page.reload();
    await settle(page);
    await go(page, 'Bench');
    expect(await said(page.getByLabel('Bench', { exact: true }))).toContain('my poplar plywood');
    await go(page, 'Notebook');
    const saveNotebook = page.getByRole('button', { name: 'Save the notebook as a file' });
    const notebook: Notebook = readNotebook(await jsonOf(await saving(saveNotebook)));
    expect(notebook.entries).toHaveLength(1);
    const [entry] = notebook.entries;
    expect(entry).toMatchObject({
      job: 'square.nc',
      wood: 'poplar plywood',
      learned_as: 'my poplar plywood',
    });
    expect(entry!.job_hash).toMatch(/^[0-9a-f]{16}$/);
    expect(entry!.operations.map(({ n, said: words }) => [n, words])).toEqual([
      [1, 'lighter'],
      [2, '0.6 mm'],
    ]);

    // What worked is told ahead of what the model has, and boards that disagree beside it.
    const other = structuredClone(entry!);
    Object.assign(other, { date: '2026-01-02' });
    Object.assign(other.operations[1]!, { said: 'through', through: true, depth_mm: null });
    await drop(page, { 'friends.json': JSON.stringify({ ...notebook, entries: [entry, other] }) });
    await expect.poll(() => page.locator('.notebook > li').count()).toBe(2);
    await go(page, 'Speed and power');
    await page.getByLabel('what is wanted').selectOption('cut');
    const want = page.getByRole('region', { name: 'I want' });
    await expect
      .poll(() => said(want))
      .toMatch(
        /through \(2026-01-02, square\.nc\)\. The same settings came to 0\.6 mm deep on the board of .*: boards of this wood differ/,
      );
    expect(await said(want)).toContain('What worked on my poplar plywood before:');

    await go(page, 'Notebook');
    await page.getByRole('button', { name: 'take it off: square.nc of 2026-01-02' }).click();
    await expect.poll(() => page.locator('.notebook > li').count()).toBe(1);
    await drop(page, { 'bad.json': '{"notebook":"burns that were told of","entries":[{}]}', 'a.nc': SQUARE });
    await page.locator('.trouble').waitFor();
    expect(await said(page.locator('.trouble'))).toContain('bad.json');

    // A notebook that cannot be read is laid aside, to be saved, and none is written over it.
    const strange = '{"notebook":"of tomorrow"}';
    await page.evaluate((kept) => localStorage.setItem('charcast.notebook', kept), strange);
    await page.reload();
    await settle(page);
    await go(page, 'Notebook');
    const aside = page.getByRole('button', { name: 'save what was kept here and cannot be read' });
    expect(await jsonOf(await saving(aside))).toEqual(JSON.parse(strange));
    await page.context().close();
  },
  SLOW,
);

test(
  'what is not believed is noted, and no wood is offered to keep',
  async () => {
    const [square] = await quickSquare();
    const page = await world.open({ jobs: [{ ...square!, text: JOB }] });
    await settle(page);
    await page.getByRole('button', { name: 'say how it turned out' }).click();
    await page.getByLabel('how operation 1 turned out').selectOption('tone');
    await page.getByRole('radio', { name: /^tone 5 %/ }).check();
    await page.getByLabel('how operation 2 turned out').selectOption('through');
    await page.getByRole('button', { name: 'Learn from it' }).click();
    const learned = page.locator('.learned');
    await learned.waitFor();
    const words = await said(learned);
    expect(words).toContain('Nothing was learned: ');
    expect(words).toContain('There is nothing to keep: no number of the wood would be another.');
    expect(words).not.toMatch(/profile only notes|Save|use the two together/);
    expect(await learned.getByRole('button').count()).toBe(0);
    await expect.poll(() => said(page.locator('.notebook'))).toContain('“through”');
    await page.context().close();
  },
  SLOW,
);
