import { expect, test } from 'vitest';
import { askedOnce, lately } from '../src/lately.ts';

test('what was made for the same numbers is handed out again, for others it is made anew', () => {
  const keep = lately<{ readonly key: string }>(4);
  const made = (...key: (number | null)[]) => keep(key, () => ({ key: JSON.stringify(key) }));
  const first = made(1, null);
  expect(made(1, null)).toBe(first);
  for (const [other, key] of [
    [made(1, 0), '[1,0]'],
    [made(11, null), '[11,null]'],
    [made(1, 1e-12), '[1,1e-12]'],
  ] as const)
    expect(other).toEqual({ key });
  expect(made(1, null)).toBe(first);
});

test('no more are kept than are asked for: the one made first goes', () => {
  const keep = lately<object>(2);
  const made = (key: number) => keep([key], () => ({}));
  const [a, b] = [made(1), made(2)];
  made(3);
  expect(made(2)).toBe(b);
  expect(made(1)).not.toBe(a);
});

test('each question is asked once, and one that only looks alike is another', () => {
  const asked: object[] = [];
  const answer = askedOnce((question: { readonly of: number }) => {
    asked.push(question);
    return { to: question.of };
  });
  const [one, alike] = [{ of: 1 }, { of: 1 }];
  const first = answer(one);
  expect(answer(one)).toBe(first);
  expect(answer(alike)).not.toBe(first);
  expect(answer(alike)).toEqual({ to: 1 });
  expect(asked).toEqual([one, alike]);
});
