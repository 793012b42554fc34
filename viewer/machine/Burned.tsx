import { useEffect, useRef, useState } from 'preact/hooks';
import type { Trial } from '../learn/gantry.ts';
import { giveUp, tryOut } from '../learn/try-out.ts';
import { drawOn } from '../words/draw-on.ts';
import type { Foretold } from '../worker/messages.ts';

interface BurnedProps {
  readonly id: string;
  /** What is seen, for those who do not see it. */
  readonly what: string;
  readonly trial: Trial;
  readonly caption?: string;
  /** Told what its forecast says. */
  readonly told?: (made: Foretold) => void;
}

/** A small job, burned as it is told, and burned again when that changes. */
export function Burned({ id, what, trial, caption, told }: BurnedProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [refusal, setRefusal] = useState<string | null>(null);
  const { text, machine, material, stock, changes } = trial;
  const key = JSON.stringify([text.length, text.slice(0, 4000), machine, material, stock, changes]);
  useEffect(() => {
    tryOut(id, trial, {
      done: (made) => {
        setRefusal(null);
        told?.(made);
        if (!made.figure || !canvas.current) return;
        drawOn(canvas.current, made.figure);
        canvas.current.dataset.burned = '';
      },
      refused: ({ sentence }) => setRefusal(sentence),
    });
  }, [key]);
  useEffect(() => () => giveUp(id), []);
  return (
    <figure class="burned">
      <canvas
        ref={canvas}
        role="img"
        aria-label={what}
        width={trial.figure.widthPx}
        height={trial.figure.heightPx}
      />
      {caption ? <figcaption class="quiet">{caption}</figcaption> : null}
      {refusal ? <figcaption class="over">{refusal}</figcaption> : null}
    </figure>
  );
}
