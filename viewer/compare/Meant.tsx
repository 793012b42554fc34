import { useEffect, useRef } from 'preact/hooks';
import type { Burn } from '../../src/burn/burn.ts';
import type { Material } from '../../src/burn/material.ts';
import { type Bounds, grownBounds } from '../../src/grid.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { viewOver } from '../../src/picture/view.ts';
import { woodRaster } from '../../src/picture/wood.ts';
import { drawOn } from '../words/draw-on.ts';
import type { WishShown } from '../worker/errand.ts';
import type { Scene } from '../worker/messages.ts';

/** Wood around the rows, mm. */
const AROUND_MM = 1;
const LONG_SIDE_PX = 640;

/** What the rows were meant to look like beside how they were and how they are, in one tone map. */
export function Meant({
  wish,
  now,
  before,
}: {
  readonly wish: WishShown;
  readonly now: Scene;
  readonly before: Scene;
}) {
  const { material } = now.forecast;
  const shown = [
    { name: 'what was meant', burn: wish.burn, material },
    { name: 'B, before', burn: before.forecast.burn, material: before.forecast.material },
    { name: 'A, after', burn: now.forecast.burn, material },
  ];
  return (
    <div class="meant">
      {shown.map((each) => (
        <Small key={each.name} boundsMm={wish.boundsMm} {...each} />
      ))}
    </div>
  );
}

interface SmallProps {
  readonly name: string;
  readonly burn: Burn;
  readonly material: Material;
  readonly boundsMm: Bounds;
}

function Small({ name, burn, material, boundsMm }: SmallProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const view = viewOver(grownBounds(boundsMm, AROUND_MM), burn.frame, LONG_SIDE_PX);
    drawOn(canvas.current!, woodRaster(burn, view, tonePathOf(material)));
  }, [burn, material, boundsMm]);
  return (
    <figure>
      <canvas ref={canvas} role="img" aria-label={`The rows, ${name}`} />
      <figcaption>{name}</figcaption>
    </figure>
  );
}
