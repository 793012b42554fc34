import { useEffect, useRef, useState } from 'preact/hooks';
import type { Picture } from '../../src/picture/picture.ts';
import { DifferenceScale } from '../words/DifferenceScale.tsx';
import { DividerHandle } from '../words/DividerHandle.tsx';
import { drawOn } from '../words/draw-on.ts';
import { Modes } from '../words/Modes.tsx';
import type { PieceShown } from '../worker/errand.ts';

type Way = 'beside' | 'over' | 'difference';
const WAYS: readonly (readonly [Way, string])[] = [
  ['beside', 'side by side'],
  ['over', 'one over the other'],
  ['difference', 'the difference in L*'],
];

/** Forecast and photo of the piece: side by side, one over the other, or what differs. */
export function PhotoBeside({ shown }: { readonly shown: PieceShown }) {
  const [way, setWay] = useState<Way>('beside');
  const { expected, seen, difference, endL } = shown;
  return (
    <>
      <Modes legend="How forecast and photo are shown" value={way} options={WAYS} onChange={setWay} />
      {way === 'beside' ? (
        <div class="piece-beside">
          <Figure picture={expected} name="forecast" />
          <Figure picture={seen} name="photo, made flat and its light evened" />
        </div>
      ) : way === 'over' ? (
        <Over expected={expected} seen={seen} />
      ) : (
        <div class="piece-beside">
          <figure>
            <Drawn picture={difference} label="How much darker the photo is than the forecast" />
            <div class="legend">
              <DifferenceScale end={endL} />
            </div>
            <figcaption>L* by which the photo is darker than forecast</figcaption>
          </figure>
        </div>
      )}
    </>
  );
}

const Figure = ({ picture, name }: { readonly picture: Picture; readonly name: string }) => (
  <figure>
    <Drawn picture={picture} label={`The piece: ${name}`} />
    <figcaption>{name}</figcaption>
  </figure>
);

function Drawn({ picture, label }: { readonly picture: Picture; readonly label: string }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => drawOn(canvas.current!, picture), [picture]);
  return <canvas ref={canvas} role="img" aria-label={label} width={picture.width} height={picture.height} />;
}

/** The photo over the forecast, from a divider on. */
function Over({ expected, seen }: Pick<PieceShown, 'expected' | 'seen'>) {
  const [share, setShare] = useState(0.5);
  const holder = useRef<HTMLDivElement>(null);
  const left = `${(100 * share).toFixed(2)}%`;
  return (
    <figure class="piece-over">
      <div ref={holder} class="laid">
        <Drawn picture={expected} label="The piece: forecast" />
        <div class="over-it" style={{ clipPath: `inset(0 0 0 ${left})` }}>
          <Drawn picture={seen} label="The piece: photo" />
        </div>
        <span class="edge" style={{ left }} aria-hidden="true" />
        <DividerHandle
          label="Divider between forecast and photo"
          sides={['F', 'P']}
          sideWords={['forecast', 'photo']}
          share={share}
          left={left}
          onShare={setShare}
          shareAt={({ clientX }) => {
            const box = holder.current!.getBoundingClientRect();
            return (clientX - box.left) / box.width;
          }}
        />
      </div>
      <figcaption>Left of the divider the forecast, right of it the photo. Drag it across.</figcaption>
    </figure>
  );
}
