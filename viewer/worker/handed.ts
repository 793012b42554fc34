/**
 * What a worker keeps of a job is the same in every answer about it. It is copied to the page once: in later answers
 * stand-ins take its place, and the page puts there what it has from before.
 */

/** Kept buffers that an answer rests on, by number; null: the page has it from the answer before. */
export type KeptBuffers = ReadonlyMap<number, ArrayBuffer | null>;

/** In the place of a typed array on a kept buffer. */
interface StandIn {
  readonly onKeptBuffer: number;
  readonly kind: (typeof KINDS)[number]['name'];
  readonly byteOffset: number;
  readonly length: number;
}

const KINDS = [
  Float64Array,
  Float32Array,
  Int32Array,
  Uint32Array,
  Int16Array,
  Uint8Array,
  Uint8ClampedArray,
];
type Kind = (typeof KINDS)[number];

/** An answer on its way, and how its kept buffers are numbered: the next answer is packed with that. */
export interface Packed<T> {
  readonly value: T;
  readonly kept: KeptBuffers;
  readonly numbers: ReadonlyMap<ArrayBuffer, number>;
}

/**
 * Packs a value made of plain data and typed arrays.
 * @param kept the buffers that stay here.
 * @param handed the numbers of the answer before: what the page has.
 * @returns the value with stand-ins for all that rests on kept buffers; what is left in it may be handed over.
 */
export function packed<T>(value: T, kept: ReadonlySet<ArrayBuffer>, handed: Packed<T>['numbers']): Packed<T> {
  const numbers = new Map<ArrayBuffer, number>();
  let last = 0;
  for (const number of handed.values()) last = Math.max(last, number);
  const numberOf = (buffer: ArrayBuffer): number => {
    const number = numbers.get(buffer) ?? handed.get(buffer) ?? ++last;
    numbers.set(buffer, number);
    return number;
  };
  const standIn = (part: object): StandIn | undefined => {
    const kind = KINDS.find((Kind) => part instanceof Kind)?.name;
    if (kind === undefined) return undefined;
    const { buffer, byteOffset, length } = part as InstanceType<Kind>;
    if (!(buffer instanceof ArrayBuffer) || !kept.has(buffer)) return undefined;
    return { onKeptBuffer: numberOf(buffer), kind, byteOffset, length };
  };
  const withStandIns = replaced(value, standIn) as T;
  const buffers = Array.from(numbers, ([buffer, n]) => [n, handed.has(buffer) ? null : buffer] as const);
  return { value: withStandIns, kept: new Map(buffers), numbers };
}

/**
 * The value as it was packed.
 * @param held the kept buffers of the answer before; what they lack must come with this one.
 * @returns with the value its kept buffers, for the answer after it.
 */
export function unpacked<T>(
  { value, kept }: Omit<Packed<T>, 'numbers'>,
  held: ReadonlyMap<number, ArrayBuffer>,
): { readonly value: T; readonly held: ReadonlyMap<number, ArrayBuffer> } {
  const now = new Map(Array.from(kept, ([n, buffer]) => [n, buffer ?? held.get(n)!] as const));
  const view = (part: object): unknown => {
    if (!('onKeptBuffer' in part)) return undefined;
    const { onKeptBuffer, kind, byteOffset, length } = part as StandIn;
    const Kind = KINDS.find(({ name }) => name === kind)!;
    return new Kind(now.get(onKeptBuffer)!, byteOffset, length);
  };
  return { value: replaced(value, view) as T, held: now };
}

/** The value with other things in the place of some; what is one thing in several places stays one. */
function replaced(value: unknown, by: (part: object) => unknown): unknown {
  const done = new Map<object, unknown>();
  const replace = (part: unknown): unknown => {
    if (typeof part !== 'object' || part === null) return part;
    if (!done.has(part)) done.set(part, by(part) ?? within(part));
    return done.get(part);
  };
  const within = (whole: object): unknown => {
    if (Array.isArray(whole)) return typeof whole[0] === 'object' ? whole.map(replace) : whole;
    if (Object.getPrototypeOf(whole) !== Object.prototype) return whole;
    return Object.fromEntries(Object.entries(whole).map(([name, part]) => [name, replace(part)]));
  };
  return replace(value);
}
