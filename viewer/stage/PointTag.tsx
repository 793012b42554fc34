import { useEffect, useRef } from 'preact/hooks';
import { toneRegion } from '../../src/burn/respond.ts';
import { cellAt } from '../../src/grid.ts';
import { numberWords } from '../../src/words.ts';
import { pointed, scene } from '../state/store.ts';
import { clockWords } from '../words/clock-words.ts';
import type { Scene } from '../worker/messages.ts';
import { stageHere } from './here.ts';

/** What is known of a place on the wood. */
interface PlaceFacts {
  readonly doseJPerMm2: number;
  readonly tone: number;
  readonly depthMm: number;
  readonly through: boolean;
  /** First and last arrival, s, and how often; null where nothing came. */
  readonly when: { readonly firstS: number; readonly lastS: number; readonly visits: number } | null;
  readonly line: number;
  readonly operation: number;
}

export function factsAt({ forecast, arrival }: Scene, xMm: number, yMm: number): PlaceFacts | null {
  const { burn, dose, program } = forecast;
  const k = cellAt(burn.frame, xMm, yMm);
  if (k < 0) return null;
  const at = cellAt(arrival.frame, xMm, yMm);
  const move = at < 0 ? 0 : arrival.move[at]!;
  return {
    doseJPerMm2: dose.grid.data[k]!,
    tone: burn.tone[k]!,
    depthMm: burn.depthMm[k]!,
    through: burn.through?.[k] === 1,
    when:
      move === 0
        ? null
        : {
            firstS: arrival.spanS[2 * at]!,
            lastS: arrival.spanS[2 * at + 1]!,
            visits: arrival.marks[4 * at]!,
          },
    line: move === 0 ? 0 : program.moves.line[move - 1]!,
    operation: move === 0 ? 0 : program.moves.operation[move - 1]!,
  };
}

/** The facts as short lines. */
function factWords(facts: PlaceFacts): string[] {
  const { doseJPerMm2, tone, depthMm, through, when, line, operation } = facts;
  if (doseJPerMm2 < 1e-3) return ['bare wood, no dose'];
  const depth = through
    ? 'cut through'
    : depthMm >= 0.005
      ? `${numberWords(depthMm, 2)} mm deep`
      : 'no depth';
  const lines = [
    `${numberWords(doseJPerMm2, 3)} J/mm²`,
    `${toneRegion(tone)}, tone ${tone.toFixed(2)}, ${depth}`,
  ];
  if (when) {
    const often = when.visits > 1 ? `, last of ${when.visits} times` : '';
    lines.push(`at ${clockWords(when.lastS)}${often}`, `line ${line}, operation ${operation}`);
  }
  return lines;
}

/** Beside the pointed place: dose, tone, depth, when it burned, by which line and operation. */
export function PointTag() {
  const tag = useRef<HTMLDivElement>(null);
  const at = pointed.value;
  const stage = stageHere.value;
  const facts = at && scene.value ? factsAt(scene.value, at[0], at[1]) : null;

  useEffect(() => {
    if (!stage || !at) return;
    const put = () => {
      if (!tag.current) return;
      const [x, y] = stage.pixelOf(at[0], at[1]);
      const { clientWidth } = stage.canvas;
      const left = x + 18 + tag.current.offsetWidth > clientWidth ? x - 18 - tag.current.offsetWidth : x + 18;
      tag.current.style.transform = `translate(${left.toFixed(0)}px, ${Math.max(4, y - tag.current.offsetHeight - 8).toFixed(0)}px)`;
    };
    put();
    return stage.onFrame(put);
  }, [stage, at, facts]);

  return (
    <div ref={tag} class="point-tag" role="status" aria-live="polite" hidden={!facts}>
      {facts ? factWords(facts).map((line, k) => <span key={k}>{line}</span>) : null}
      {facts && at ? (
        <span class="quiet">
          x {at[0].toFixed(1)}, y {at[1].toFixed(1)} mm
        </span>
      ) : null}
    </div>
  );
}
