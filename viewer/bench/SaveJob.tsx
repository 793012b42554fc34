import { adjustedText } from '../state/adjusted.ts';
import { WHOLE } from '../state/changes.ts';
import { downloadText } from '../state/download.ts';
import { refusals } from '../state/refusals.ts';
import { changes, loaded, status, wished } from '../state/store.ts';
import { refuseSettings } from '../state/trouble.ts';
import { noteSaved } from '../state/unsaved.ts';
import { nameWith } from '../words/file-name.ts';

/** Saves the job with the changes written into it; not while something asked of it is refused. */
export function SaveJob() {
  const count = [...changes.value.keys()].filter((n) => n !== WHOLE).length;
  const [typed] = refusals.value.values();
  const isRefused = typed !== undefined || status.value.kind === 'refused';
  return (
    <p class="save">
      <button
        type="button"
        class="press"
        aria-disabled={isRefused}
        aria-describedby="save-said"
        onClick={() => isRefused || void save()}
      >
        Save the adjusted job
      </button>{' '}
      <span class="quiet" id="save-said">
        {isRefused
          ? `once ${typed === undefined ? 'these settings can be burned' : `a number above is mended: ${typed}`}.`
          : `with ${[...(count > 0 ? [`${count === 1 ? 'one operation' : `${count} operations`} changed`] : []), ...(changes.value.has(WHOLE) ? ['all of it laid elsewhere'] : [])].join(' and ')}; every other byte stays as it was.`}
      </span>
    </p>
  );
}

async function save(): Promise<void> {
  const wish = wished.peek();
  if (!wish) return;
  const name = nameWith(loaded.peek()?.job.name ?? 'job.nc', '-adjusted');
  try {
    downloadText(name, await adjustedText(wish));
    noteSaved(wish.changes);
  } catch (error) {
    refuseSettings('Not saved', error);
  }
}
