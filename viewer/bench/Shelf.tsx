import { takeOffShelf } from '../state/shelf.ts';
import { Choice } from './Choice.tsx';

interface OnTheBenchProps<Thing> {
  readonly label: string;
  /** What lies there now, by its name. */
  readonly name: string;
  readonly shelf: ReadonlyMap<string, Thing>;
  readonly onTake: (thing: Thing) => void;
}

/** “On the bench is …”: what lies there, to be exchanged for another from the shelf. */
export function OnTheBench<Thing>({ label, name, shelf, onTake }: OnTheBenchProps<Thing>) {
  const names = [...new Set([name, ...shelf.keys()])];
  return (
    <>
      On the bench is{' '}
      <Choice
        label={label}
        value={name}
        options={names.map((each) => [each, each] as const)}
        after="."
        onChange={(chosen) => {
          const thing = shelf.get(chosen);
          if (thing) onTake(thing);
        }}
      />
    </>
  );
}

interface TakeOffProps {
  readonly name: string;
  /** Told what was done. */
  readonly onTaken: (said: string) => void;
}

export function TakeOff({ name, onTaken }: TakeOffProps) {
  return (
    <button
      type="button"
      class="link"
      onClick={() => {
        takeOffShelf(name);
        onTaken(`${name} is no longer on the shelf.`);
      }}
    >
      take it off the shelf
    </button>
  );
}
