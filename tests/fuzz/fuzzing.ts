import fc from 'fast-check';
import { InputError } from '../../src/errors.ts';

/** How many cases of each kind: `npm run fuzz` asks for 100,000. */
export const RUNS = Number(process.env.FUZZ_RUNS ?? 1000);
const SHORT = 1000;

/**
 * Runs a property. A short run has a seed, so that it is the same every time; a long one explores.
 * @param share of {@link RUNS}, for properties whose cases are costly
 */
export function fuzz<Case>(cases: fc.Arbitrary<Case>, judge: (value: Case) => void, share = 1): void {
  fc.assert(
    fc.property(cases, (value) => judge(value)),
    settings(share),
  );
}

/** The same for a judge that has to wait. */
export const fuzzAsync = <Case>(
  cases: fc.Arbitrary<Case>,
  judge: (value: Case) => Promise<void>,
  share = 1,
): Promise<void> =>
  fc.assert(
    fc.asyncProperty(cases, (value) => judge(value)),
    settings(share),
  );

const settings = (share: number) => ({
  numRuns: Math.max(1, Math.round(RUNS * share)),
  ...(RUNS > SHORT ? {} : { seed: 20_000 }),
});

/** Time for a test of `RUNS` cases that take about `caseMs` each, on a busy machine: only what hangs takes longer. */
export const timeoutMs = (caseMs: number, share = 1): number => 60_000 + 6 * RUNS * share * caseMs;

/** Runs the work; returns what it makes, or undefined when it refused with one plain sentence. Anything else is thrown. */
export function soundOrRefused<T>(work: () => T): T | undefined {
  try {
    return work();
  } catch (error) {
    expectPlain(error);
    return undefined;
  }
}

/** A refusal says in one short line what was found and what was expected. */
function expectPlain(error: unknown): void {
  if (!(error instanceof InputError)) throw error;
  // An `expect` takes longer than what it is asked about, and these are hundreds of thousands.
  const { sentence } = error;
  if (!/^found [^\n\r]+$/.test(sentence) || sentence.length >= 420)
    throw new Error(`not one short sentence that says what was found: ${JSON.stringify(sentence)}`);
}

/** Values that do not belong where they stand. */
export const oddValue: fc.Arbitrary<unknown> = fc.oneof(
  fc.constantFrom<unknown>(
    ...[Number.NaN, Infinity, -Infinity, -0, 0, -1, 1e308, -1e308, 5e-324, 1e-9, 1e9, 2 ** 53, 1.5],
    ...[
      null,
      undefined,
      true,
      false,
      '',
      '5',
      'x'.repeat(5000),
      [],
      {},
      [[]],
      [Number.NaN, 1, 2],
      [1, 2, 3, 4],
    ],
    ...[5n, Symbol('odd'), () => 5, new Date(0), new Map(), Object.create(null)],
  ),
  fc.anything({ maxDepth: 2 }),
);

/** A copy of plain data in which a few fields hold odd values, are missing, or are not known. */
export function spoiled<T>(values: fc.Arbitrary<T>): fc.Arbitrary<unknown> {
  const spoil = fc.tuple(
    fc.nat(),
    fc.constantFrom('set', 'set', 'set', 'delete', 'add'),
    oddValue,
    fc.constantFrom('watts', '__proto__', 'constructor', '', 'x'.repeat(300), 'a\nb'),
  );
  return fc.tuple(values, fc.array(spoil, { minLength: 1, maxLength: 3 })).map(([value, spoils]) => {
    const copy = { root: structuredClone(value) as unknown };
    // The fields as they were: odd values are shared, and must not be spoiled themselves.
    const slots = slotsOf(copy);
    const own = new Set(slots.map(([holder]) => holder));
    for (const [place, how, odd, name] of spoils) {
      const [holder, key] = slots[place % slots.length]!;
      if (how === 'set') holder[key] = odd;
      else if (how === 'delete' && holder !== (copy as object)) delete holder[key];
      else if (own.has(holder[key] as Holder)) {
        // As JSON.parse would: an own field, whatever its name.
        const field = { value: odd, enumerable: true, configurable: true, writable: true };
        Object.defineProperty(holder[key], name, field);
      }
    }
    return copy.root;
  });
}

type Holder = Record<string, unknown>;

/** Every field of plain data: what holds it, and its key. */
function slotsOf(at: object): [Holder, string][] {
  return Object.keys(at).flatMap((key) => {
    const value = (at as Holder)[key];
    const inner = typeof value === 'object' && value !== null ? slotsOf(value) : [];
    return [[at as Holder, key] as [Holder, string], ...inner];
  });
}
