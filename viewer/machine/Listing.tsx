import { useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import type { Choices } from '../../src/machine/listing.ts';
import { layListed, listed } from '../state/listed.ts';
import { Kept } from '../words/Kept.tsx';

/** The controller's own settings, pasted or dropped, and what each line of them meant. */
export function Listing() {
  const [text, setText] = useState(listed.value?.text ?? '');
  const [refusal, setRefusal] = useState<string | null>(null);
  const read = (what: string, choices: Choices = {}) => {
    setText(what);
    if (what.trim() === '') {
      setRefusal(null);
      return;
    }
    try {
      layListed(what, choices);
      setRefusal(null);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      setRefusal(error.toString());
    }
  };
  const said = listed.value;
  return (
    <section aria-labelledby="listing-heading">
      <label class="ask-for" id="listing-heading" for="listing">
        Paste here the settings your controller prints, or drop the file anywhere
      </label>
      <textarea
        id="listing"
        class="listing"
        rows={3}
        spellcheck={false}
        autoComplete="off"
        placeholder={'$110=6000.000\n$120=500.000  or  M201 X500 Y400\n…'}
        value={said && text === '' ? said.text : text}
        aria-invalid={refusal !== null}
        aria-describedby="listing-said"
        onInput={(event) => read(event.currentTarget.value)}
      />
      <p id="listing-said" class={refusal ? 'over' : 'quiet'} role={refusal ? 'alert' : 'status'}>
        {refusal ? (
          <Kept>{refusal}</Kept>
        ) : said ? (
          `${said.told.length} of its lines tell something of the machine.`
        ) : (
          'Each number becomes one in the sentences below; what no line tells is marked as assumed.'
        )}
      </p>
      {said ? <Meant read={read} /> : null}
    </section>
  );
}

function Meant({ read }: { readonly read: (text: string, choices: Choices) => void }) {
  const { text, choices, told, unused } = listed.value!;
  return (
    <details class="more">
      <summary>What each line meant</summary>
      <ul>
        {told.map(({ line, text: meaning, doubt }) => (
          <li key={`${line} ${meaning}`}>
            <Kept>{`${line > 0 ? `Line ${line}. ` : ''}${meaning}`}</Kept>
            {doubt ? (
              <>
                {' '}
                <button
                  type="button"
                  class="link"
                  onClick={() => read(text, { ...choices, [doubt.choice]: doubt.other })}
                >
                  read it as {doubt.other} instead
                </button>
              </>
            ) : null}
          </li>
        ))}
        {unused.map(({ line, text: why }) => (
          <li key={`${line} ${why}`} class="quiet">
            <Kept>{`Not used: ${line > 0 ? `line ${line}. ` : ''}${why}`}</Kept>
          </li>
        ))}
      </ul>
    </details>
  );
}
