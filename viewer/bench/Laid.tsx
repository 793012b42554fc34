import { shiftWords } from '../../src/change/placement.ts';
import { laidBy, WHOLE } from '../state/changes.ts';
import { centredStock, centreJob, placing, turnJob } from '../state/placing.ts';
import { changes, layJob, putBack } from '../state/store.ts';
import { Choice } from './Choice.tsx';
import { NumberField } from './NumberField.tsx';

const TURNS = [
  ['0', 'not turned'],
  ['90', 'a quarter turn to the left'],
  ['180', 'half a turn'],
  ['270', 'a quarter turn to the right'],
] as const;

/** Where the whole job lies on the board, as a sentence whose numbers move and turn it. */
export function LaidSentence() {
  const { shiftMm, turnDegrees } = laidBy(changes.value);
  // Most jobs are burned where they are: numbers that nobody needs would push those aside that are looked for.
  const isLaid = changes.value.has(WHOLE);
  return (
    <>
      <p>
        {isLaid || placing.value ? <Numbers /> : 'The job lies where its file has it.'}{' '}
        <button
          type="button"
          class="link"
          aria-pressed={placing.value}
          onClick={() => {
            placing.value = !placing.value;
          }}
        >
          {placing.value ? 'done placing' : 'move the job on the board'}
        </button>{' '}
        <button type="button" class="link" onClick={() => turnJob(1)}>
          turn it by a quarter
        </button>
        {centredStock.value ? (
          <>
            {' '}
            <button type="button" class="link" onClick={centreJob}>
              centre the job on the board
            </button>
          </>
        ) : null}
        {isLaid ? (
          <>
            {' '}
            <span class="was">changed</span>{' '}
            <button type="button" class="link" onClick={() => putBack(WHOLE)}>
              put back the job
            </button>
          </>
        ) : null}
      </p>
      {placing.value ? (
        <p class="aside">
          Drag the burn to its place on the board. With the board chosen, arrow keys move it by a millimetre,
          with Shift by a tenth, and R turns it.
        </p>
      ) : null}
      {isLaid ? (
        <p class="aside">
          The saved job burns it there.
          {turnDegrees === 0
            ? ` Or leave the file as it is, and set the origin ${shiftWords(shiftMm)} of where it is set now.`
            : ''}
        </p>
      ) : null}
    </>
  );
}

/** How far the job is moved, and how it is turned. */
function Numbers() {
  const { shiftMm, turnDegrees } = laidBy(changes.value);
  const [x, y] = shiftMm;
  return (
    <>
      The job lies{' '}
      <NumberField
        label="job moved to the right"
        unit="mm"
        value={x}
        min={-5000}
        max={5000}
        step={1}
        changed={x !== 0}
        onChange={(to) => layJob({ shiftMm: [to, y] })}
      />{' '}
      to the right and{' '}
      <NumberField
        label="job moved to the back"
        unit="mm"
        value={y}
        min={-5000}
        max={5000}
        step={1}
        changed={y !== 0}
        onChange={(to) => layJob({ shiftMm: [x, to] })}
      />{' '}
      to the back of where its file has it,{' '}
      <Choice
        label="turn of the job"
        value={String(turnDegrees) as (typeof TURNS)[number][0]}
        options={TURNS}
        after="."
        changed={turnDegrees !== 0}
        onChange={(to) => layJob({ turnDegrees: Number(to) })}
      />
    </>
  );
}
