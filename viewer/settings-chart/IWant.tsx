import { useMemo, useState } from 'preact/hooks';
import type { Settings } from '../../src/change/change.ts';
import { InputError } from '../../src/errors.ts';
import { CUTTING_CAUTION } from '../../src/findings/phrases.ts';
import type { Proposal, Suggestion } from '../../src/suggest/proposal.ts';
import { sentencesOf } from '../../src/suggest/sentences.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import type { Want } from '../../src/suggest/want.ts';
import { workedBefore } from '../../src/suggest/worked.ts';
import { SURE } from '../../src/sure/come-through.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { Choice } from '../bench/Choice.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import { showChanged } from '../bench/show-changed.ts';
import { notebook } from '../state/notebook.ts';
import { change, operations, setup } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';

type Wanted = 'tan' | 'brown' | 'char' | 'tone' | 'cut';
const WANTS: readonly (readonly [Wanted, string])[] = [
  ['tan', 'tan'],
  ['brown', 'brown'],
  ['char', 'char'],
  ['tone', 'a tone of'],
  ['cut', 'a cut through'],
];
const USES = [
  ['rows', 'in rows'],
  ['line', 'as a line'],
] as const;

/** What is wanted of the wood, and the settings that reach it; each can be taken for an operation by one press. */
export function IWant() {
  const [wanted, setWanted] = useState<Wanted>('brown');
  const [tone, setTone] = useState(40);
  const [use, setUse] = useState<'rows' | 'line'>('rows');
  const at = setup.value!;
  const thicknessMm = at.stock?.thicknessMm ?? null;
  const sure = at.asked?.sure ?? SURE;
  const key = JSON.stringify([at.machine, at.material, thicknessMm, sure]);
  const proposal = useMemo((): Proposal | string => {
    const want: Want =
      wanted === 'cut'
        ? { kind: 'cut' }
        : wanted === 'tone'
          ? { kind: 'tone', tone: tone / 100 }
          : { kind: 'region', region: wanted };
    if (want.kind === 'cut' && thicknessMm === null)
      return 'To propose a cut the board’s thickness must be known: give its size on the bench.';
    try {
      return suggest(want, at.material, at.machine, {
        thicknessMm,
        use: wanted === 'cut' ? 'line' : use,
        sure,
      });
    } catch (error) {
      if (error instanceof InputError) return error.toString();
      throw error;
    }
  }, [wanted, tone, use, key]);
  return (
    <section aria-labelledby="want-heading">
      <h2 id="want-heading">I want</h2>
      <p>
        I want <Choice label="what is wanted" value={wanted} options={WANTS} onChange={setWanted} />
        {wanted === 'tone' ? (
          <>
            {' '}
            <NumberField
              label="wanted tone"
              unit="%"
              value={tone}
              min={1}
              max={100}
              step={1}
              onChange={setTone}
            />
          </>
        ) : null}
        {wanted === 'cut' ? (
          '.'
        ) : (
          <>
            {', '}
            <Choice label="burned how" value={use} options={USES} after="." onChange={setUse} />
          </>
        )}
      </p>
      {typeof proposal === 'string' ? null : <Before proposal={proposal} />}
      {typeof proposal === 'string' ? (
        <p class="over">{proposal}</p>
      ) : proposal.impossible ? (
        <p class="over">
          <Kept>{proposal.impossible}</Kept>
        </p>
      ) : (
        <Suggestions proposal={proposal} />
      )}
    </section>
  );
}

function Suggestions({ proposal }: { readonly proposal: Proposal }) {
  const { suggestions } = sentencesOf(proposal);
  return (
    <>
      {proposal.hopeless ? (
        <p class="over">
          <Kept>{proposal.hopeless}</Kept>
        </p>
      ) : null}
      <ul class="suggestions">
        {proposal.suggestions.map((suggestion, k) => (
          <li key={suggestions[k]![0]}>
            {suggestions[k]!.map((words, j) => (
              <p key={words} class={j === 0 ? '' : 'quiet'}>
                <Kept>{words}</Kept>
              </p>
            ))}
            <Take kind={suggestion.use.kind} settings={settingsOf(suggestion)} />
          </li>
        ))}
      </ul>
      {proposal.notes.map((note) => (
        <p key={note} class="quiet">
          <Kept>{note}</Kept>
        </p>
      ))}
      {proposal.want.kind === 'cut' ? <p class="quiet">{CUTTING_CAUTION}</p> : null}
    </>
  );
}

/** What worked on this wood before, ahead of what the model has; nothing while no burn was told of. */
function Before({ proposal }: { readonly proposal: Proposal }) {
  if (notebook.value.entries.length === 0) return null;
  const { heading, worked } = workedBefore(notebook.value, proposal);
  return (
    <>
      <p class="quiet">{heading}</p>
      {worked.length === 0 ? null : (
        <>
          <ul class="suggestions">
            {worked.map(({ operation, sentence }) => (
              <li key={sentence}>
                <p>
                  <Kept>{sentence}</Kept>
                </p>
                <Take
                  kind={operation.kind === 'rows' ? 'rows' : 'line'}
                  settings={{
                    speedMmPerS: mmPerMinToMmPerS(operation.feed_mm_min),
                    powerFraction: Math.min(1, operation.power_percent / 100),
                    passes: operation.passes,
                    powerMode: operation.power_mode,
                  }}
                />
              </li>
            ))}
          </ul>
          <p class="quiet">And what the model proposes:</p>
        </>
      )}
    </>
  );
}

const settingsOf = ({ speedMmPerS, power, powerMode, passes }: Suggestion): Settings => ({
  speedMmPerS,
  powerFraction: power,
  passes,
  powerMode,
});

/** Takes settings for an operation that is burned in this way. */
function Take({ kind, settings }: { readonly kind: 'rows' | 'line'; readonly settings: Settings }) {
  const fitting = operations.value.filter((operation) => (operation.kind === 'rows') === (kind === 'rows'));
  if (fitting.length === 0) return null;
  return (
    <p class="acts">
      {fitting.slice(0, 6).map(({ n }) => (
        <button
          type="button"
          key={n}
          class="press"
          onClick={({ detail }) => {
            change(n, settings);
            showChanged(n, detail === 0);
          }}
        >
          Take it for operation {n}
        </button>
      ))}
    </p>
  );
}
