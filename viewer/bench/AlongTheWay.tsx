import { useMemo } from 'preact/hooks';
import { hasPicture } from '../../src/dosing/picture-rows.ts';
import { layBeside } from '../state/beside.ts';
import { dosed, doseJob, dosing, inVain, putBackJob } from '../state/dosed.ts';
import { downloadText } from '../state/download.ts';
import { scene } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';
import { Remedy } from './Findings.tsx';

/** S written anew along the way: one press for even lines, one for true tones, and the way back. */
export function AlongTheWay() {
  const program = scene.value?.forecast.program ?? null;
  const isPicture = useMemo(() => program !== null && hasPicture(program), [program]);
  if (!program) return null;
  return (
    <section aria-labelledby="along" class="along">
      <h2 id="along">Along the way</h2>
      {dosed.value ? <Written /> : <Presses isPicture={isPicture} />}
    </section>
  );
}

function Presses({ isPicture }: { readonly isPicture: boolean }) {
  const isBusy = dosing.value !== null;
  return (
    <>
      <p>
        S can follow the head, so that corners, starts and row ends get what the straight parts get.{' '}
        {isPicture ? 'And rows of many levels can come out as dark as their S means, in this wood. ' : ''}
        {isPicture ? 'Each' : 'That'} makes a new job, with what you changed above in it; the old one can be
        put back.
      </p>
      <p class="acts">
        <Remedy words="Make its lines even" isBusy={isBusy} onPress={() => void doseJob('even')} />
        {isPicture ? (
          <Remedy words="Make its tones true" isBusy={isBusy} onPress={() => void doseJob('tones')} />
        ) : null}
      </p>
      <p role="status" class="quiet">
        {isBusy ? 'Working it out …' : (inVain.value ?? '')}
      </p>
    </>
  );
}

/** The job on the bench was written so: how well, and what can be done with it. */
function Written() {
  const { job, sentences, before } = dosed.value!;
  return (
    <>
      <p role="status">
        <Kept>{sentences.join(' ')}</Kept>
      </p>
      <p class="acts">
        <button type="button" class="press" onClick={() => downloadText(job.name, job.text)}>
          Save this job
        </button>{' '}
        <button type="button" class="link" onClick={() => layBeside(before.setup, before.title)}>
          compare it with how it was
        </button>{' '}
        <button type="button" class="link" onClick={() => void putBackJob()}>
          put the job back as it was
        </button>
      </p>
    </>
  );
}
