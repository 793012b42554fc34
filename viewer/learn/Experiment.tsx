import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { drawOn } from '../words/draw-on.ts';
import { Kept } from '../words/Kept.tsx';
import type { Foretold } from '../worker/messages.ts';
import type { Trial } from './gantry.ts';
import { giveUp, tryOut } from './try-out.ts';

interface ExperimentProps {
  readonly id: string;
  readonly question: string;
  /** The sentence whose numbers are the controls. */
  readonly children: ComponentChildren;
  readonly trial: Trial;
  /** What the picture of the burn shows, for those who do not see it. */
  readonly picture: string;
  /** What is drawn beside the burn, from its forecast. */
  readonly beside?: (made: Foretold) => ComponentChildren;
  /** A sentence of why, from the forecast; what stands between asterisks is stressed. */
  readonly why: (made: Foretold) => string;
}

/** One question, a live figure, a sentence. Forecast when it comes into sight. */
export function Experiment({ id, question, children, trial, picture, beside, why }: ExperimentProps) {
  const section = useRef<HTMLElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [near, setNear] = useState(false);
  const [burned, setBurned] = useState<Foretold | null>(null);
  const [refusal, setRefusal] = useState<string | null>(null);
  const key = JSON.stringify([trial.text, trial.machine, trial.stock, trial.cellMm]);

  useEffect(() => {
    const watch = new IntersectionObserver(([entry]) => entry?.isIntersecting && setNear(true), {
      rootMargin: '300px',
    });
    watch.observe(section.current!);
    return () => watch.disconnect();
  }, []);
  useEffect(() => {
    if (!near) return;
    tryOut(id, trial, {
      done: (made) => {
        setBurned(made);
        setRefusal(null);
      },
      refused: ({ sentence }) => setRefusal(sentence),
    });
  }, [near, key]);
  useEffect(() => () => giveUp(id), []);
  useEffect(() => {
    if (burned?.figure && canvas.current) drawOn(canvas.current, burned.figure);
  }, [burned]);

  return (
    <section
      ref={section}
      id={id}
      class="experiment"
      aria-labelledby={`${id}-question`}
      data-burned={burned ? '' : undefined}
    >
      <h2 id={`${id}-question`}>{question}</h2>
      <p class="try">{children}</p>
      <figure class={beside ? 'figure two' : 'figure'}>
        <canvas
          ref={canvas}
          role="img"
          aria-label={picture}
          width={trial.figure.widthPx}
          height={trial.figure.heightPx}
        />
        {beside ? <div class="beside">{burned ? beside(burned) : null}</div> : null}
      </figure>
      {refusal === null ? null : (
        <p class="over" role="alert">
          This could not be burned: {refusal}
        </p>
      )}
      <p class="why" aria-live="polite">
        {burned ? <Stressed>{why(burned)}</Stressed> : ' '}
      </p>
    </section>
  );
}

function Stressed({ children }: { readonly children: string }) {
  return (
    <>
      {children.split('*').map((part, k) =>
        k % 2 === 1 ? (
          <b key={k}>
            <Kept>{part}</Kept>
          </b>
        ) : (
          <Kept key={k}>{part}</Kept>
        ),
      )}
    </>
  );
}
