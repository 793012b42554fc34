import { describe, expect, test } from 'vitest';
import {
  type Entry,
  emptyNotebook,
  entrySentences,
  joinNotebooks,
  type Notebook,
  readNotebook,
  type Wanted,
  type Worked,
  workedOn,
} from '../../src/outcome/notebook.ts';

const entry = (
  date: string,
  operation: Partial<Entry['operations'][number]>,
  more: Partial<Entry> = {},
): Entry => ({
  date,
  job: 'marker.nc',
  job_hash: 'abc',
  machine: 'bench gantry',
  wood: 'poplar plywood',
  learned_as: 'my-wood',
  board_mm: { width: 130, height: 32, thickness: 4 },
  operations: [
    {
      n: 3,
      kind: 'outline',
      feed_mm_min: 240,
      power_percent: 100,
      power_mode: 'constant',
      passes: 3,
      said: 'through',
      tone: null,
      depth_mm: null,
      through: true,
      ...operation,
    },
  ],
  picture: null,
  ...more,
});
const of = (...entries: Entry[]) => ({ ...emptyNotebook(), entries });
const cut = { kind: 'cut', thicknessMm: 4 } as const;
const workedSentences = (book: Notebook, wood: string, wanted: Wanted) =>
  workedOn(book, wood, wanted, 'bench gantry').map(({ sentence }) => sentence);

describe('what worked on this wood', () => {
  test('a cut that came through on such a board, the last first', () => {
    const book = of(
      entry('2026-01-01', {}),
      entry('2026-02-01', { feed_mm_min: 300 }),
      entry('2026-03-01', {}, { wood: 'beech', learned_as: null }),
      entry('2026-03-02', {}, { board_mm: { width: 100, height: 30, thickness: 3 } }),
      entry('2026-03-03', { through: false, depth_mm: 2, said: '2 mm', feed_mm_min: 900 }),
    );
    const told = workedSentences(book, 'poplar plywood', cut);
    expect(told).toEqual([
      'A line at 300 mm/min with 100 % power, constant, 3 times: through (2026-02-01, marker.nc).',
      'A line at 240 mm/min with 100 % power, constant, 3 times: through (2026-01-01, marker.nc).',
    ]);
    expect(workedSentences(book, 'my-wood', cut)).toEqual(told);
    expect(workedSentences(book, 'spruce', cut)).toEqual([]);
  });

  test('boards that came out otherwise with the same settings are shown, not averaged', () => {
    const book = of(
      entry('2026-01-01', {}),
      entry('2026-02-01', { through: false, depth_mm: 3.1, said: '3.1 mm' }),
    );
    expect(workedSentences(book, 'my-wood', cut)).toEqual([
      'A line at 240 mm/min with 100 % power, constant, 3 times: through (2026-01-01, marker.nc). The same settings came to 3.1 mm deep on the board of 2026-02-01: boards of this wood differ.',
    ]);
  });

  test('a board that is another says nothing of it', () => {
    const six = { board_mm: { width: 130, height: 32, thickness: 6 } };
    const book = of(
      entry('2026-01-01', {}),
      entry('2026-02-01', { through: false, said: 'not through' }, six),
      entry('2026-02-02', { through: false, said: 'not through', feed_mm_min: 200 }, six),
    );
    expect(workedSentences(book, 'my-wood', cut)).toEqual([
      'A line at 240 mm/min with 100 % power, constant, 3 times: through (2026-01-01, marker.nc).',
    ]);
  });

  test('more energy that came to less is said, and less that came to less is not', () => {
    const book = of(
      entry('2026-01-01', {}),
      entry('2026-02-01', { through: false, said: 'not through', feed_mm_min: 180 }),
      entry('2026-02-02', { through: false, said: 'not through', feed_mm_min: 180, power_percent: 60 }),
      entry('2026-02-03', { through: false, said: 'not through', passes: 2 }),
    );
    expect(workedSentences(book, 'my-wood', cut)).toEqual([
      'A line at 240 mm/min with 100 % power, constant, 3 times: through (2026-01-01, marker.nc). That does not go together with others: more energy (180 mm/min, 100 % power, 3 times) came to not through on the board of 2026-02-01.',
    ]);
  });

  test('tones that go against their energy are said, of rows within one job', () => {
    const rows = { kind: 'rows', through: null, passes: 1, feed_mm_min: 3000 } as const;
    const book = of(
      entry('2026-01-01', { ...rows, tone: 0.55, said: 'tone 55 %' }),
      entry('2026-02-01', { ...rows, tone: 0.8, said: 'tone 80 %', feed_mm_min: 4000 }),
      entry(
        '2026-02-02',
        { ...rows, tone: 0.85, said: 'tone 85 %', feed_mm_min: 4000 },
        { job_hash: 'other' },
      ),
      entry('2026-02-03', { ...rows, tone: 0.8, said: 'tone 80 %', feed_mm_min: 2000 }),
    );
    expect(workedSentences(book, 'my-wood', { kind: 'tone', tone: 0.5 })).toEqual([
      'Rows at 3000 mm/min with 100 % power, constant, once: tone 55 % (2026-01-01, marker.nc). That does not go together with others: less energy (4000 mm/min, 100 % power, once) came to tone 80 % on the board of 2026-02-01.',
    ]);
  });

  test('an answer that compares is not told as a tone that was seen', () => {
    const rows = { kind: 'rows', through: null, tone: 0.6 } as const;
    const words = (said: string) =>
      workedSentences(of(entry('2026-01-01', { ...rows, said })), 'my-wood', { kind: 'tone', tone: 0.55 })[0];
    for (const said of ['darker', 'Much lighter', 'as forecast'])
      expect(words(said)).toContain(
        `: about tone 60 %, compared with its forecast (“${said}”), not measured (`,
      );
    for (const said of ['tone 60 %', 'tone 60 % on the photo'])
      expect(words(said)).toContain(': tone 60 % (');
  });

  test('a tone near the wanted one', () => {
    const rows = { kind: 'rows', through: null, said: 'tone 62 %' } as const;
    const book = of(
      entry('2026-01-01', { ...rows, tone: 0.62 }),
      entry('2026-02-01', { ...rows, tone: 0.2 }),
    );
    expect(workedSentences(book, 'my-wood', { kind: 'tone', tone: 0.55 })).toHaveLength(1);
    expect(workedSentences(book, 'my-wood', { kind: 'tone', tone: 0.55 })[0]).toMatch(
      /^Rows at .*: tone 62 % \(2026-01-01/,
    );
  });
});

test('the list has the last burn first, and may be of one wood', () => {
  const book = of(
    entry('2026-01-01', {}),
    entry('2026-02-01', {}, { wood: 'beech', learned_as: null, picture: 'a.jpg' }),
  );
  expect(entrySentences(book, null)[0]).toBe(
    '2026-02-01: marker.nc on beech, 4 mm, bench gantry, picture a.jpg',
  );
  expect(entrySentences(book, 'my-wood')).toEqual([
    '2026-01-01: marker.nc on poplar plywood, 4 mm, bench gantry',
    '  3. A line at 240 mm/min with 100 % power, constant, 3 times: “through”',
  ]);
});

test('what is no notebook is told', () => {
  expect(readNotebook(JSON.parse(JSON.stringify(of(entry('2026-01-01', {})))))).toEqual(
    of(entry('2026-01-01', {})),
  );
  expect(() => readNotebook({ notebook: 'other', entries: [] }, 'n.json')).toThrow(
    /n\.json: found "other" for notebook/,
  );
  expect(() => readNotebook({ ...emptyNotebook(), more: 1 })).toThrow(/found the unknown field more/);
});

test('two notebooks are one by date, and what is in both is there once', () => {
  const [first, second, third] = ['2026-01-01', '2026-02-01', '2026-03-01'].map((date) => entry(date, {}));
  // The same entry with its fields in another order, as another writer may have them.
  const { date, ...rest } = second!;
  const joined = joinNotebooks(of(first!, third!, { ...rest, date }), of(second!, third!));
  expect(joined.entries.map((each) => each.date)).toEqual(['2026-01-01', '2026-02-01', '2026-03-01']);
  expect(joinNotebooks(emptyNotebook(), of(third!, first!)).entries).toEqual([first, third]);
});

test('a setting that worked on another machine says on which', () => {
  const book = of(entry('2026-01-01', {}, { machine: 'workshop gantry' }));
  const [{ sentence, operation }] = workedOn(book, 'my-wood', cut, 'bench gantry') as [Worked];
  expect(sentence).toContain(': through on workshop gantry (2026-01-01');
  expect(operation.feed_mm_min).toBe(240);
});
