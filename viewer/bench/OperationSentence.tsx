import { labOf } from '../../src/burn/colour.ts';
import { guessNote } from '../../src/burn/guesses.ts';
import type { Operation } from '../../src/program/program.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords, timeWords } from '../../src/words.ts';
import type { Changes } from '../state/changes.ts';
import { type OwnSettings, ownSettings } from '../state/changes.ts';
import { seek } from '../state/clock.ts';
import { change, changes, putBack, scene, setup } from '../state/store.ts';
import { cssOfLab } from '../words/css-colour.ts';
import { Kept } from '../words/Kept.tsx';
import type { Scene, Setup } from '../worker/messages.ts';
import { Choice } from './Choice.tsx';
import { NumberField } from './NumberField.tsx';
import { sentenceId } from './show-changed.ts';

const MODES = [
  ['proportional', 'proportional'],
  ['constant', 'constant'],
] as const;

const INTENTS = [
  ['cut', 'to cut'],
  ['engrave', 'to engrave'],
] as const;

/** A job whose settings can be changed: the one on the bench, or the one beside it. */
export interface Side {
  /** What is added to the names of its controls: *of B*. */
  readonly named: string;
  readonly setup: () => Pick<Setup, 'machine' | 'material'> | null;
  readonly scene: () => Scene | null;
  readonly changes: () => Changes;
  readonly change: typeof change;
  readonly putBack: typeof putBack;
}

const BENCH: Side = {
  named: '',
  setup: () => setup.value,
  scene: () => scene.value,
  changes: () => changes.value,
  change,
  putBack,
};

interface OfSide {
  readonly operation: Operation;
  readonly side?: Side;
}

/** What an outline is taken for, or said to be for; nothing where the board's thickness is not known. */
function IntentWords({ operation: { n, kind }, side = BENCH }: OfSide) {
  const made = side.scene()?.forecast;
  if (kind !== 'outline' || (made?.stock?.thicknessMm ?? null) === null) return null;
  const said = side.changes().get(n)?.intent;
  const assumed = made!.cuts.some(({ operation }) => operation === n) ? 'cut' : 'engrave';
  return (
    <>
      It is {said ? 'meant' : 'taken'}{' '}
      <Choice
        label={`what operation ${n}${side.named} is for`}
        value={said ?? assumed}
        options={INTENTS}
        after="."
        changed={said !== undefined}
        onChange={(intent) => side.change(n, { intent })}
      />
    </>
  );
}

/** An operation as one sentence whose numbers are its controls. */
export function OperationSentence({ operation, side = BENCH }: OfSide) {
  const at = side.setup();
  if (!at) return null;
  const { n } = operation;
  const sTop = at.machine.laser.s_max;
  const own = ownSettings(operation, sTop);
  const changed = side.changes().get(n);
  const shown = side.scene();
  const now: OwnSettings = { ...own, ...changed };
  const name = operation.kind === 'rows' ? 'Rows' : 'Outline';
  const totals = shown?.forecast.operations.find((each) => each.operation.n === n);
  const tone = shown?.tones.find((each) => each.n === n);
  const of = `of operation ${n}${side.named}`;
  const varies = operation.sMin !== operation.sMax;
  const leastPercent = Math.min(1, operation.sMin / sTop) * 100 * (now.powerFraction / own.powerFraction);
  const guess = guessNote(at.material) !== null;
  const order = [
    changed?.rowOrder ? `in ${changed.rowOrder}` : '',
    changed?.insideFirst ? 'inside first' : '',
    changed?.last ? 'after all others' : '',
  ]
    .filter((part) => part !== '')
    .join(', ');
  return (
    <li class="operation" id={side === BENCH ? sentenceId(n) : undefined}>
      <button
        type="button"
        class="tone"
        aria-label={`Go to the beginning ${of}`}
        title={guess ? 'mean tone, a guess' : 'mean tone'}
        onClick={() => tone && seek(tone.fromS)}
      >
        <span
          class={guess ? 'swatch guess' : 'swatch'}
          style={{ background: tone ? cssOfLab(labOf(tone.tone, at.material)) : 'transparent' }}
        />
      </button>
      <p>
        {name}, burned{' '}
        <NumberField
          label={`passes ${of}`}
          value={now.passes}
          min={1}
          max={100}
          step={1}
          whole
          changed={changed?.passes !== undefined}
          onChange={(passes) => side.change(n, { passes })}
        />{' '}
        {now.passes === 1 ? 'time' : 'times'} at{' '}
        <NumberField
          label={`speed ${of}`}
          unit="mm/min"
          value={mmPerSToMmPerMin(now.speedMmPerS)}
          min={10}
          max={60_000}
          step={now.speedMmPerS >= 16 ? 50 : 10}
          digits={5}
          changed={changed?.speedMmPerS !== undefined}
          onChange={(feed) => side.change(n, { speedMmPerS: mmPerMinToMmPerS(feed) })}
        />{' '}
        with {varies ? `${numberWords(leastPercent)} to ` : ''}
        <NumberField
          label={`power ${of}`}
          unit="%"
          value={now.powerFraction * 100}
          min={1}
          max={100}
          step={1}
          changed={changed?.powerFraction !== undefined}
          onChange={(percent) => side.change(n, { powerFraction: percent / 100 })}
        />{' '}
        power,{' '}
        <Choice
          label={`power mode ${of}`}
          value={now.powerMode}
          options={MODES}
          after={changed?.overscanMm || order ? ',' : '.'}
          changed={changed?.powerMode !== undefined}
          onChange={(powerMode) => side.change(n, { powerMode })}
        />
        {changed?.overscanMm ? (
          <>
            {' '}
            with{' '}
            <NumberField
              label={`overscan ${of}`}
              unit="mm"
              value={changed.overscanMm}
              min={0}
              max={50}
              step={0.1}
              changed
              onChange={(overscanMm) => side.change(n, { overscanMm })}
            />{' '}
            of overscan{order ? ',' : '.'}
          </>
        ) : null}
        {order ? ` ${order}.` : ''} <IntentWords operation={operation} side={side} />{' '}
        {totals ? (
          <span class="quiet">
            <Kept>{`${timeWords(totals.durationS)}, ${numberWords(totals.energyJ)} J.`}</Kept>
          </span>
        ) : null}
        {changed ? (
          <>
            {' '}
            <span class="was">changed</span>{' '}
            <button
              type="button"
              class="link put-back"
              onClick={() => side.putBack(n)}
              aria-label={`Put back the job's own settings ${of}`}
            >
              put back
            </button>
          </>
        ) : null}
      </p>
    </li>
  );
}
