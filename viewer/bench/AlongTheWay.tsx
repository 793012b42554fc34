import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { hasPicture, hasRows } from '../../src/dosing/picture-rows.ts';
import { layBeside } from '../state/beside.ts';
import {
  dosed,
  doseJob,
  dosing,
  inVain,
  laid,
  layPictureOver,
  notLaid,
  putBackJob,
  toneEnds,
} from '../state/dosed.ts';
import { downloadText } from '../state/download.ts';
import { scene } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';
import { PHOTO_FILES, PickFiles } from '../words/PickFiles.tsx';
import { Remedy } from './Findings.tsx';
import { NumberField } from './NumberField.tsx';

/** S written anew along the way: one press for even lines, one for true tones, and the way back. */
export function AlongTheWay() {
  const program = scene.value?.forecast.program ?? null;
  const kind = useMemo(
    () => (program === null ? null : hasPicture(program) ? 'picture' : hasRows(program) ? 'rows' : 'lines'),
    [program],
  );
  if (!kind) return null;
  return (
    <section aria-labelledby="along" class="along">
      <h2 id="along">Along the way</h2>
      {dosed.value ? <Written /> : <Presses kind={kind} />}
    </section>
  );
}

/** @param kind what the job has: a picture in rows, other rows, or lines alone. */
function Presses({ kind }: { readonly kind: 'picture' | 'rows' | 'lines' }) {
  const isBusy = dosing.value !== null;
  return (
    <>
      <p>
        S can follow the head, so that corners, starts and row ends get what the straight parts get.{' '}
        {kind === 'picture'
          ? 'And rows of many levels can come out as dark as their S means, in this wood. '
          : ''}
        {kind === 'picture' ? 'Each' : 'That'} makes a new job, with what you changed above in it; the old one
        can be put back.
      </p>
      <p class="acts">
        <Remedy words="Make its lines even" isBusy={isBusy} onPress={() => void doseJob('even')} />
      </p>
      {kind === 'lines' ? null : <Tones isPicture={kind === 'picture'} isBusy={isBusy} />}
      <p role="status" class="quiet">
        {isBusy ? 'Working it out …' : (inVain.value ?? '')}
      </p>
    </>
  );
}

/** The least that the ends lie apart, per cent: nearer, there is no picture. */
const LEAST_APART = 1;

/** Between what tones the rows are to lie, and the picture that they are to show. */
function Tones({ isPicture, isBusy }: { readonly isPicture: boolean; readonly isBusy: boolean }) {
  const percent = (share: number) => Math.round(share * 100);
  const [lightest, darkest] = [percent(toneEnds.value.lightest), percent(toneEnds.value.darkest)];
  return (
    <>
      <p>
        Its tones go from{' '}
        <NumberField
          label="how far the lightest tone goes from bare wood to full char, %"
          value={lightest}
          unit="%"
          min={0}
          max={darkest - LEAST_APART}
          step={1}
          whole
          onChange={(each) => {
            toneEnds.value = { ...toneEnds.peek(), lightest: each / 100 };
          }}
        />{' '}
        to{' '}
        <NumberField
          label="how far the darkest tone goes from bare wood to full char, %"
          value={darkest}
          unit="%"
          min={lightest + LEAST_APART}
          max={100}
          step={1}
          whole
          onChange={(each) => {
            toneEnds.value = { ...toneEnds.peek(), darkest: each / 100 };
          }}
        />{' '}
        of the way from bare wood to full char.
      </p>
      <Laid isPicture={isPicture} />
      {isPicture || laid.value ? (
        <p class="acts">
          <Remedy words="Make its tones true" isBusy={isBusy} onPress={() => void doseJob('tones')} />
        </p>
      ) : null}
    </>
  );
}

/** The picture that is laid over the rows: dropped on its place or chosen, and taken away again. */
function Laid({ isPicture }: { readonly isPicture: boolean }) {
  const [isOver, setOver] = useState(false);
  const canvas = useRef<HTMLCanvasElement>(null);
  const at = laid.value;
  useEffect(() => {
    if (!at || !canvas.current) return;
    const { bitmap } = at.photo;
    const share = Math.min(1, SHOWN_PX / Math.max(bitmap.width, bitmap.height));
    canvas.current.width = Math.max(1, Math.round(bitmap.width * share));
    canvas.current.height = Math.max(1, Math.round(bitmap.height * share));
    canvas.current.getContext('2d')!.drawImage(bitmap, 0, 0, canvas.current.width, canvas.current.height);
  }, [at]);
  return (
    <section
      aria-label="A picture to lay over the rows"
      class={isOver ? 'laid laid-over' : 'laid'}
      onDragOver={() => setOver(true)}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault(); // it is no photo of a burned swatch
        setOver(false);
        void layPictureOver([...(event.dataTransfer?.files ?? [])]);
      }}
    >
      {at ? <canvas ref={canvas} role="img" aria-label={`The picture ${at.name}`} /> : null}
      <p>
        {at
          ? `Its rows are to show ${at.name}, upright, stretched over them. `
          : isPicture
            ? 'How dark a place is meant, its S says. Or drop the picture here that its rows are to show, or '
            : 'Its rows have too few levels to be a picture. Drop one here that they are to show, or '}
        <PickFiles accept={PHOTO_FILES} onPicked={(files) => void layPictureOver(files)}>
          {at ? 'choose another one' : 'choose it'}
        </PickFiles>
        {at ? (
          <>
            {' or '}
            <button
              type="button"
              class="link"
              onClick={() => {
                laid.value = null;
              }}
            >
              take it away
            </button>
          </>
        ) : null}
        .
      </p>
      <p role="alert">{notLaid.value ? <b class="over">{notLaid.value}</b> : null}</p>
    </section>
  );
}

/** The longer side of the picture as it is shown, px. */
const SHOWN_PX = 320;

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
