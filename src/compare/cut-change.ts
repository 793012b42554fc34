import { listWords } from '../findings/phrases.ts';

/** What an operation that is meant to cut comes to. */
export interface Comes {
  readonly operation: number;
  readonly through: boolean;
}

interface Side {
  readonly cuts: readonly Comes[];
  readonly engravings: readonly { readonly operation: number }[];
}

/** A sentence for each way: *Operation 2 cuts through in B and not in A.* Only of what both have; one may not take it for a cut. */
export function cutChanges(a: Side, b: Side): string[] {
  const [inA, inB] = [throughIn(a), throughIn(b)];
  const onlyIn = (here: ReadonlyMap<number, boolean>, there: ReadonlyMap<number, boolean>) =>
    [...here].filter(([n, through]) => through && there.get(n) === false).map(([n]) => n);
  return [sentence(onlyIn(inA, inB), 'A', 'B'), sentence(onlyIn(inB, inA), 'B', 'A')].flat();
}

/** Whether each operation comes through, by number. */
const throughIn = ({ cuts, engravings }: Side): ReadonlyMap<number, boolean> =>
  new Map([
    ...engravings.map(({ operation }) => [operation, false] as const),
    ...cuts.map(({ operation, through }) => [operation, through] as const),
  ]);

function sentence(operations: readonly number[], here: string, there: string): string[] {
  if (operations.length === 0) return [];
  const [which, cut] =
    operations.length === 1
      ? [`Operation ${operations[0]}`, 'cuts']
      : [`Operations ${listWords(operations.map(String))}`, 'cut'];
  return [`${which} ${cut} through in ${here} and not in ${there}.`];
}
