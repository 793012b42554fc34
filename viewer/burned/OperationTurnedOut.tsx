import { labOf } from '../../src/burn/colour.ts';
import type { Material } from '../../src/burn/material.ts';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import { engravingSentence } from '../../src/findings/evidence/engravings.ts';
import type { Forecast } from '../../src/forecast.ts';
import type { Operation } from '../../src/program/program.ts';
import { shadeWords } from '../../src/sure/words.ts';
import { numberWords } from '../../src/words.ts';
import { Choice } from '../bench/Choice.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import { cssOfLab } from '../words/css-colour.ts';
import { Kept } from '../words/Kept.tsx';
import { type Answer, type Answers, nothingSaid, SHADES_SHOWN } from './answers.ts';

type Key = Exclude<Answer, null> | 'nothing';
type Words = readonly (readonly [Key, string])[];

const NOTHING: Words = [['nothing', 'in a way not said yet']];
const OF_TONES: Words = [
  ['as forecast', 'as forecast'],
  ['lighter', 'lighter'],
  ['darker', 'darker'],
  ['much lighter', 'much lighter'],
  ['much darker', 'much darker'],
  ['tone', 'like one of these shades'],
];
const ON_PHOTO: Words = [['on the photo', 'as the photo shows']];
const OF_CUTS: Words = [
  ['through', 'through'],
  ['not through', 'not through'],
  ['depth', 'not through, but'],
  ['all but', 'through but for'],
];

interface OperationTurnedOutProps {
  readonly n: number;
  readonly kind: Operation['kind'];
  readonly made: Forecast;
  readonly answers: Answers | null;
  /** What a photo of the piece shows of it, in sentences; empty: nothing. */
  readonly shown: readonly string[];
  /** A tone for it was read off that photo. */
  readonly isToneShown: boolean;
  readonly onSaid: (answers: Answers) => void;
}

/** One operation: what was forecast of it, and what it came to. */
export function OperationTurnedOut({
  n,
  kind,
  made,
  answers,
  shown,
  isToneShown,
  onSaid,
}: OperationTurnedOutProps) {
  const { material, stock } = made;
  const thicknessMm = stock?.thicknessMm ?? null;
  const cut = made.cuts.find(({ operation }) => operation === n) ?? null;
  const engraving = made.engravings.find(({ operation }) => operation === n) ?? null;
  const now = answers ?? nothingSaid(thicknessMm ?? 1);
  const mayCut = kind === 'outline' && thicknessMm !== null;
  const words: Words = cut
    ? [...NOTHING, ...OF_CUTS]
    : [...NOTHING, ...(isToneShown ? ON_PHOTO : []), ...OF_TONES, ...(mayCut ? OF_CUTS.slice(0, 3) : [])];
  return (
    <li class="turned">
      {cut || engraving ? (
        <p class="quiet">
          <Kept>{cut ? cutSentence(cut) : engravingSentence(engraving!)}</Kept>
        </p>
      ) : null}
      {shown.map((sentence) => (
        <p key={sentence} class="quiet">
          <Kept>{sentence}</Kept>
        </p>
      ))}
      <p>
        Operation {n} came out{' '}
        <Choice
          label={`how operation ${n} turned out`}
          value={now.answer ?? 'nothing'}
          options={words}
          changed={now.answer !== null}
          onChange={(key) => onSaid({ ...now, answer: key === 'nothing' ? null : key })}
        />
        {now.answer === 'depth' ? (
          <>
            {' '}
            <NumberField
              label={`depth of operation ${n}, mm`}
              value={now.depthMm}
              unit="mm"
              min={0.05}
              max={(thicknessMm ?? 10) * 0.99}
              step={0.1}
              digits={3}
              onChange={(depthMm) => onSaid({ ...now, depthMm })}
            />{' '}
            deep where it is shallowest.
          </>
        ) : now.answer === 'all but' ? (
          <>
            {' '}
            <NumberField
              label={`length of operation ${n} that is not through, mm`}
              value={now.uncutMm}
              unit="mm"
              after="."
              min={0.5}
              max={100_000}
              step={1}
              digits={4}
              onChange={(uncutMm) => onSaid({ ...now, uncutMm })}
            />
          </>
        ) : now.answer === 'tone' ? (
          ':'
        ) : (
          '.'
        )}
      </p>
      {now.answer === 'tone' ? (
        <Shades
          n={n}
          material={material}
          forecast={engraving?.tone ?? null}
          picked={now.tone}
          onPick={(tone) => onSaid({ ...now, tone })}
        />
      ) : null}
      <label class="corners-dark">
        <input
          type="checkbox"
          checked={now.cornersDark}
          onChange={({ currentTarget }) => onSaid({ ...now, cornersDark: currentTarget.checked })}
        />
        its corners are dark
      </label>
    </li>
  );
}

interface ShadesProps {
  readonly n: number;
  readonly material: Material;
  /** The tone that was forecast; null: none was. */
  readonly forecast: number | null;
  readonly picked: number | null;
  readonly onPick: (tone: number) => void;
}

/** Shades of the wood to hold the piece beside, with the forecast before them. */
function Shades({ n, material, forecast, picked, onPick }: ShadesProps) {
  const css = (tone: number): string => cssOfLab(labOf(tone, material));
  return (
    <fieldset class="shades">
      <legend class="hidden">The shade of operation {n}</legend>
      {forecast === null ? null : (
        <span class="shade-forecast">
          <span class="swatch" style={{ background: css(forecast) }} /> forecast
        </span>
      )}
      <span class="shade-row">
        {SHADES_SHOWN.map((tone) => (
          <label key={tone} title={shadeWords(tone)} style={{ background: css(tone) }}>
            <input
              type="radio"
              name={`shade-${n}`}
              aria-label={`tone ${numberWords(100 * tone, 2)} %, ${shadeWords(tone)}`}
              checked={picked === tone}
              onChange={() => onPick(tone)}
            />
          </label>
        ))}
      </span>
      <span class="quiet">
        {picked === null ? 'Press the one most like it, by daylight.' : `${shadeWords(picked)}.`}
      </span>
    </fieldset>
  );
}
