import { adjustedText } from '../state/adjusted.ts';
import { downloadText } from '../state/download.ts';
import { changes, loaded, wished } from '../state/store.ts';

/** Saves the job with the changes written into it. */
export function SaveJob() {
  const count = changes.value.size;
  const save = () => {
    const wish = wished.peek();
    if (!wish) return;
    const name = (loaded.peek()?.job.name ?? 'job.nc').replace(/(\.[^.]*)?$/, '-adjusted$1');
    downloadText(name, adjustedText(wish));
  };
  return (
    <p class="save">
      <button type="button" class="press" onClick={save}>
        Save the adjusted job
      </button>{' '}
      <span class="quiet">
        with {count === 1 ? 'one operation' : `${count} operations`} changed; every other byte stays as it
        was.
      </span>
    </p>
  );
}
