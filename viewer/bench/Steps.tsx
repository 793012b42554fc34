import { redo, redoWords, undo, undoWords } from '../state/steps.ts';

/** One step back, one step forth. */
export function Steps() {
  return (
    <span class="steps">
      <Step name="undo" words={undoWords.value} keys="Control+Z Meta+Z" go={undo} />{' '}
      <Step name="redo" words={redoWords.value} keys="Control+Shift+Z Meta+Shift+Z Control+Y" go={redo} />
    </span>
  );
}

interface StepProps {
  readonly name: string;
  /** What it would change; null: there is no such step. */
  readonly words: string | null;
  readonly keys: string;
  readonly go: () => void;
}

function Step({ name, words, keys, go }: StepProps) {
  return (
    <button
      type="button"
      class="link"
      aria-disabled={words === null}
      aria-keyshortcuts={keys}
      title={words ?? `nothing to ${name}`}
      onClick={go}
    >
      {name}
    </button>
  );
}
