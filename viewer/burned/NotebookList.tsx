import { useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import { burnSentence, type Entry, operationSentence } from '../../src/outcome/notebook.ts';
import { downloadJson } from '../state/download.ts';
import { addNotebook, notebook, pictureKey, pictures, takeOffNotebook, unread } from '../state/notebook.ts';
import { refuseFile } from '../state/trouble.ts';
import { Kept } from '../words/Kept.tsx';
import { PickFiles } from '../words/PickFiles.tsx';

const FIRST_SHOWN = 12;

/** Every burn that was told of, the last first. */
export function NotebookList() {
  const [said, setSaid] = useState('');
  const [isLong, setLong] = useState(false);
  const { entries } = notebook.value;
  const shown = entries.toReversed().slice(0, isLong ? entries.length : FIRST_SHOWN);
  const bring = async (files: readonly File[]) => {
    for (const file of files) {
      try {
        setSaid(addedWords(addNotebook(await file.text(), file.name)));
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        refuseFile(error.toString(), null);
      }
    }
  };
  return (
    <section aria-labelledby="notebook-heading">
      <h2 id="notebook-heading">The notebook</h2>
      <p class="quiet">
        {entries.length === 0
          ? 'No burn was told of yet. Each one you tell of is kept here, in this browser and nowhere else.'
          : `${entries.length === 1 ? 'One burn' : `${entries.length} burns`}, kept in this browser and nowhere else. “I want” under Speed and power begins with what worked.`}
      </p>
      <ol class="notebook">
        {shown.map((entry, k) => (
          <NotebookEntry
            key={`${pictureKey(entry)} ${entries.length - k}`}
            entry={entry}
            onTakeOff={() => {
              takeOffNotebook(entry);
              setSaid(`${entry.job} of ${entry.date} is no longer in the notebook.`);
            }}
          />
        ))}
      </ol>
      <p class="acts">
        {entries.length > shown.length ? (
          <button type="button" class="link" onClick={() => setLong(true)}>
            show all {entries.length}
          </button>
        ) : null}
        {entries.length > 0 ? (
          <button type="button" class="press" onClick={() => downloadJson('notebook.json', notebook.peek())}>
            Save the notebook as a file
          </button>
        ) : null}
        <PickFiles accept="application/json,.json" onPicked={(files) => void bring(files)}>
          add a notebook’s file
        </PickFiles>
        {unread.value === null ? null : (
          <button
            type="button"
            class="link"
            onClick={() => downloadJson('notebook-unread.json', unread.peek())}
          >
            save what was kept here and cannot be read
          </button>
        )}
      </p>
      <p class="quiet" role="status">
        {said}
      </p>
    </section>
  );
}

const addedWords = (count: number): string =>
  count === 0
    ? 'All of its burns were here already.'
    : `${count === 1 ? 'One burn' : `${count} burns`} added.`;

interface NotebookEntryProps {
  readonly entry: Entry;
  readonly onTakeOff: () => void;
}

function NotebookEntry({ entry, onTakeOff }: NotebookEntryProps) {
  const uri = pictures.value.get(pictureKey(entry));
  return (
    <li>
      {uri === undefined ? null : (
        <img
          src={uri}
          alt={`${entry.job} as it ${entry.picture === null ? 'was forecast' : 'came out, on its photo'}`}
        />
      )}
      <p>
        <b>{entry.date}</b> <Kept>{`${burnSentence(entry)}.`}</Kept>
      </p>
      <ul class="told">
        {entry.operations.map((operation) => (
          <li key={`${operation.n} ${operation.said}`}>
            <Kept>{operationSentence(operation)}</Kept>
          </li>
        ))}
      </ul>
      <button
        type="button"
        class="link"
        aria-label={`take it off: ${entry.job} of ${entry.date}`}
        onClick={onTakeOff}
      >
        take it off
      </button>
    </li>
  );
}
