import { useSignalEffect } from '@preact/signals';
import { useRef } from 'preact/hooks';
import { VIEWS } from '../stage/ViewWords.tsx';
import { keysShown } from './shown.ts';

/** Every key, by what it is for: the one list of them. */
const KEYS: readonly (readonly [string, readonly (readonly [string, string])[]])[] = [
  [
    'Anywhere',
    [
      ['?', 'show these keys'],
      ['Tab', 'go to the next thing that can be used'],
      ['Ctrl or ⌘ Z', 'undo; with Shift, or Ctrl Y, redo'],
    ],
  ],
  [
    'Time',
    [
      ['Space', 'play and pause'],
      ['← →', 'a step back or on; with Shift further, with Alt finer'],
      ['Home End', 'the beginning, the end'],
      ['[ ]', 'slower, faster'],
      ['Page Up Page Down', 'a tenth of the job, on the strip'],
      ['+ −', 'look closer at the strip, or less close'],
    ],
  ],
  [
    'The wood',
    [
      [`1 … ${VIEWS.length}`, VIEWS.map(([, words]) => words).join(', ')],
      ['F', 'seen flat from above'],
      ['0', 'the whole board'],
      ['T', 'the way of the head, shown or not'],
      ['L', 'lift out what has come free; again: the next part, or put it back'],
      ['O', 'turn over the part in the hand'],
      ['← → ↑ ↓', 'move the pointed place by 1 mm, with Shift by 0.1 mm, on the board'],
      ['← → ↑ ↓ R', 'move the job, and turn it by a quarter, while it is being placed, on the board'],
      ['Enter', 'mark the pointed place, once a knot is to be marked, on the board'],
      ['← → ↑ ↓ Delete', 'move, size or take away a marked place'],
      ['+ −', 'nearer, further, on the board'],
      [', .', 'turn the board'],
      ['Page Up Page Down', 'tip the board'],
    ],
  ],
  [
    'A number in a sentence',
    [
      ['↑ ↓', 'more, less; with Shift ten steps at once'],
      ['Enter', 'take what was typed'],
      ['Esc', 'leave it as it was'],
    ],
  ],
  [
    'Other places',
    [
      ['← → ↑ ↓', 'move a point of the chart, or a corner on a photo; with Shift further'],
      ['↑ ↓', 'a line back or on, in the lines of the job'],
      ['Page Up Page Down', 'an operation back or on, in the lines of the job'],
    ],
  ],
];

export function Keys() {
  const dialog = useRef<HTMLDialogElement>(null);
  useSignalEffect(() => {
    if (keysShown.value) dialog.current?.showModal();
    else dialog.current?.close();
  });
  const close = () => {
    keysShown.value = false;
  };
  return (
    <dialog ref={dialog} class="keys" aria-labelledby="keys-heading" onClose={close}>
      <div>
        <h2 id="keys-heading">Keys</h2>
        <div class="columns">
          {KEYS.map(([heading, keys]) => (
            <section key={heading}>
              <h3>{heading}</h3>
              <dl>
                {keys.map(([key, does]) => (
                  <div key={key}>
                    <dt>{key}</dt>
                    <dd>{does}</dd>
                  </div>
                ))}
              </dl>
            </section>
          ))}
        </div>
        <p>
          <button type="button" class="press" onClick={close}>
            Close
          </button>
        </p>
      </div>
    </dialog>
  );
}
