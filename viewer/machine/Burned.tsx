import { useEffect, useRef, useState } from 'preact/hooks';
import type { Trial } from '../learn/gantry.ts';
import { tryOut } from '../learn/try-out.ts';
import type { Scene } from '../worker/messages.ts';

interface BurnedProps {
  readonly id: string;
  /** What is seen, for those who do not see it. */
  readonly what: string;
  readonly trial: Trial;
  readonly caption?: string;
  /** Told what its forecast says. */
  readonly told?: (scene: Scene) => void;
}

/** A small job, burned as it is told, and burned again when that changes. */
export function Burned({ id, what, trial, caption, told }: BurnedProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [refusal, setRefusal] = useState<string | null>(null);
  const { text, machine, material, stock, changes } = trial;
  const key = JSON.stringify([text.length, text.slice(0, 4000), machine, material, stock, changes]);
  useEffect(() => {
    tryOut(id, trial, {
      done: (scene) => {
        setRefusal(null);
        told?.(scene);
        const { figure } = scene;
        if (!figure || !canvas.current) return;
        const { width, height, data } = figure;
        canvas.current.width = width;
        canvas.current.height = height;
        const image = new ImageData(data as Uint8ClampedArray<ArrayBuffer>, width, height);
        canvas.current.getContext('2d')!.putImageData(image, 0, 0);
        canvas.current.dataset.burned = '';
      },
      refused: ({ sentence }) => setRefusal(sentence),
    });
  }, [key]);
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
