import { useMemo } from 'preact/hooks';
import { guessNote } from '../../src/burn/guesses.ts';
import type { Use } from '../../src/burn/speed-power.ts';
import { chartOf } from '../../src/chart/chart.ts';
import { chartNotes, panelSentence } from '../../src/chart/notes.ts';
import { pointsOf } from '../../src/chart/points.ts';
import { usualRowSpacingMm } from '../../src/chart/row-spacing.ts';
import { SURE } from '../../src/sure/come-through.ts';
import { Cautions } from '../bench/Bench.tsx';
import { OperationSentence } from '../bench/OperationSentence.tsx';
import { Steps } from '../bench/Steps.tsx';
import { operations, scene, setup } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';
import { ChartBoard } from './ChartBoard.tsx';
import { IWant } from './IWant.tsx';

/** What every speed and power does to this wood, with the job's operations as points that can be dragged. */
export function SettingsChart() {
  const at = setup.value;
  const made = scene.value?.forecast;
  const sure = at?.asked?.sure ?? SURE;
  const setupKey = at ? JSON.stringify([at.machine, at.material, at.stock?.thicknessMm ?? null, sure]) : '';
  // The axes stay as they are while a point is dragged over them; how often rows are burned changes what they show.
  const passesKey = made?.program.operations.map(({ n, passes }) => `${n} ${passes}`).join() ?? '';
  const chart = useMemo(() => {
    if (!at || !made) return null;
    const { machine, material } = at;
    const work = { machine, material, thicknessMm: at.stock?.thicknessMm ?? null };
    const points = pointsOf(made.program, work, sure);
    const inRows: Use = { kind: 'rows', rowSpacingMm: usualRowSpacingMm(machine.spot) };
    const uses: Use[] = points.length > 0 ? [] : [inRows, { kind: 'line' }];
    return chartOf({ ...work, passes: 1 }, uses, points, sure);
  }, [setupKey, operations.value, passesKey]);
  if (!at || !chart) return null;
  const guess = guessNote(at.material);
  return (
    <article class="page" aria-label="Speed and power">
      <h1>Speed and power</h1>
      <p class="under-title">
        <span>
          What each setting does to {at.material.name}
          {at.stock?.thicknessMm ? `, ${at.stock.thicknessMm} mm` : ''}, on {at.machine.name}.
        </span>
        <Steps />
      </p>
      {chart.panels.map((panel, k) => (
        <ChartBoard key={`${k} ${passesKey} ${setupKey}`} panel={panel} id={`board${k}`} />
      ))}
      {chart.panels.map((panel) => (
        <p key={panelSentence(panel)} class="quiet">
          <Kept>{panelSentence(panel)}</Kept>
        </p>
      ))}
      <IWant />
      <h2>The job’s operations</h2>
      <ol class="operations" aria-label="Operations, in the order burned">
        {operations.value.map((operation) => (
          <OperationSentence key={operation.n} operation={operation} />
        ))}
      </ol>
      <details class="more">
        <summary>Good to know</summary>
        <ul>
          {[...chartNotes(chart), ...(guess ? [guess] : [])].map((note) => (
            <li key={note}>
              <Kept>{note}</Kept>
            </li>
          ))}
          <li>For long straight lines at full speed: how the head gets there is shown on the board.</li>
        </ul>
      </details>
      <Cautions />
    </article>
  );
}
