import { Fragment } from 'preact';

/** Something to press, in its words. */
export interface Choice {
  readonly words: string;
  readonly press: () => void;
}

/** Choices as the end of a sentence: “a, b or c.” Marks stay with the words before them. */
export function Listed({ choices }: { readonly choices: readonly Choice[] }) {
  const last = choices.length - 1;
  return (
    <>
      {choices.map(({ words, press }, k) => (
        <Fragment key={words}>
          {k > 0 && k === last ? ' or ' : ' '}
          <span class="listed">
            <button type="button" class="link" onClick={press}>
              {words}
            </button>
            {k === last ? '.' : k < last - 1 ? ',' : ''}
          </span>
        </Fragment>
      ))}
    </>
  );
}
