import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { pair } from '../state/beside.ts';
import type { Moment } from '../time/moments.ts';
import { stageHere } from './here.ts';

/** Beneath a head: speed, power and line energy of the moment that is drawn; of two burns also which it is. */
export function HeadTag({ of }: { readonly of: 0 | 1 }) {
  const tag = useRef<HTMLDivElement>(null);
  const [moment, setMoment] = useState<Moment | null>(null);
  const stage = stageHere.value;

  useEffect(() => {
    if (!stage) return;
    return stage.onFrame(() => setMoment(stage.painted[of]));
  }, [stage]);

  // On a slow machine a frame comes later than its moment: the tag goes by what is drawn.
  useLayoutEffect(() => {
    if (!stage || !moment) return;
    const put = () => {
      if (!tag.current) return;
      const [x, y] = stage.pixelOf(moment.xMm, moment.yMm);
      const inside = x > 0 && y > 0 && x < stage.canvas.clientWidth && y < stage.canvas.clientHeight;
      tag.current.style.visibility = inside ? 'visible' : 'hidden';
      const left = Math.min(x + 14, stage.canvas.clientWidth - tag.current.offsetWidth - 4);
      const top = Math.min(y + 14, stage.canvas.clientHeight - tag.current.offsetHeight - 4);
      tag.current.style.transform = `translate(${left.toFixed(0)}px, ${top.toFixed(0)}px)`;
    };
    put();
    return stage.onFrame(put);
  }, [stage, moment]);

  if (!moment) return null;
  const { speedMmPerS, emittedW } = moment;
  return (
    <div ref={tag} class="head-tag" aria-hidden="true">
      {pair.value ? <b>{'AB'[of]}</b> : null}
      <span>{numberWords(mmPerSToMmPerMin(speedMmPerS), 3)} mm/min</span>
      <span>{numberWords(emittedW, 2)} W</span>
      {emittedW > 0 && speedMmPerS > 0.05 ? <span>{numberWords(emittedW / speedMmPerS, 2)} J/mm</span> : null}
    </div>
  );
}
