import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Finding } from '../../src/findings/finding.ts';
import { Cautions } from '../bench/Bench.tsx';
import { durationS, pause, seek, tS } from '../state/clock.ts';
import { changes, moments, operations, scene, setup } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';
import { SEVERITY_MARKS } from '../words/severity-marks.ts';
import { lineAt, lineStarts, lineText, nextLineS, timeOfLine } from './line-index.ts';

const ROW_PX = 22;
const SHOWN_ROWS = 18;
/** Browsers hold no taller boxes than some ten million pixels; a longer job scrolls faster. */
const MOST_PX = 6_000_000;

/** The G-code in step with time, both ways, with what was found in its margin. */
export function LinePanel() {
  const text = setup.value?.job.text ?? '';
  const starts = useMemo(() => lineStarts(text), [text]);
  const made = scene.value?.forecast;
  const now = moments.value;
  const findings = useMemo(() => byLine(made?.findings ?? []), [made]);
  if (!made || !now || !setup.value) return null;
  const { motion } = made;
  const { move, rest } = now.at(tS.value);
  const line = lineAt(motion, move, rest);
  const go = (t: number | null) => {
    if (t === null) return;
    pause();
    seek(t);
  };
  const stepOperation = (way: 1 | -1) => {
    const ends = scene.peek()!.tones.map(({ fromS }) => fromS);
    const next =
      way === 1
        ? (ends.find((t) => t > tS.peek() + 1e-6) ?? durationS.peek())
        : (ends.findLast((t) => t < tS.peek() - 1e-6) ?? 0);
    go(next);
  };
  const here = findings.get(line) ?? [];
  const marked = [...findings.keys()].filter((n) => n > 0).sort((a, b) => a - b);
  return (
    <article class="page line-page" aria-label="The line">
      <h1>The line</h1>
      <p class="under-title">
        <span>
          Line {line} of {starts.length - 1}, in step with the time below.
        </span>
      </p>
      <p class="acts">
        <button type="button" class="link" onClick={() => go(nextLineS(motion, tS.peek(), -1))}>
          line back
        </button>
        <button type="button" class="link" onClick={() => go(nextLineS(motion, tS.peek(), 1))}>
          line on
        </button>
        <button type="button" class="link" onClick={() => stepOperation(-1)}>
          operation back
        </button>
        <button type="button" class="link" onClick={() => stepOperation(1)}>
          operation on
        </button>
      </p>
      <Lines
        text={text}
        starts={starts}
        line={line}
        findings={findings}
        onLine={(n) => go(timeOfLine(motion, n, tS.peek()))}
        onStep={(way) => go(nextLineS(motion, tS.peek(), way))}
        onOperation={stepOperation}
      />
      {changes.value.size > 0 ? (
        <p class="quiet">
          These are the lines of the job as it came; what you changed is written into it when it is saved.
        </p>
      ) : null}
      {here.map((finding) => (
        <p key={finding.message} class={`story ${finding.severity}`}>
          <b class="severity">Line {line}.</b> <Kept>{finding.message}</Kept>
        </p>
      ))}
      {marked.length > 0 ? (
        <p class="quiet">
          Something was found at{' '}
          {marked.slice(0, 24).map((n, k) => (
            <span key={n} class="listed">
              <button type="button" class="link" onClick={() => go(timeOfLine(motion, n, tS.peek()))}>
                line {n}
              </button>
              {k === Math.min(24, marked.length) - 1 ? '.' : ','}&nbsp;
            </span>
          ))}
        </p>
      ) : null}
      <Cautions />
    </article>
  );
}

function byLine(findings: readonly Finding[]): ReadonlyMap<number, readonly Finding[]> {
  const found = new Map<number, Finding[]>();
  for (const finding of findings) found.set(finding.line, [...(found.get(finding.line) ?? []), finding]);
  return found;
}

interface LinesProps {
  readonly text: string;
  readonly starts: Uint32Array;
  readonly line: number;
  readonly findings: ReadonlyMap<number, readonly Finding[]>;
  readonly onLine: (n: number) => void;
  readonly onStep: (way: 1 | -1) => void;
  readonly onOperation: (way: 1 | -1) => void;
}

/** As many lines as are seen, of however many there are. */
function Lines({ text, starts, line, findings, onLine, onStep, onOperation }: LinesProps) {
  const box = useRef<HTMLDivElement>(null);
  const [top, setTop] = useState(0);
  const count = starts.length - 1;
  const tall = Math.min(count * ROW_PX, MOST_PX);
  const view = SHOWN_ROWS * ROW_PX;
  const isWhole = tall === count * ROW_PX;
  const mostFirst = Math.max(0, count - SHOWN_ROWS);
  const first = Math.min(
    mostFirst,
    isWhole ? Math.floor(top / ROW_PX) : Math.round((top / Math.max(1, tall - view)) * mostFirst),
  );
  useEffect(() => {
    const at = box.current!;
    if (line < 1) return;
    const isSeen = line > first + 1 && line < first + SHOWN_ROWS - 1;
    if (isSeen) return;
    const wanted = Math.max(0, Math.min(mostFirst, line - SHOWN_ROWS / 2));
    at.scrollTop = isWhole ? wanted * ROW_PX : (wanted / Math.max(1, mostFirst)) * (tall - view);
  }, [line, text]);
  const shown = Array.from({ length: Math.min(SHOWN_ROWS + 1, count - first) }, (_, k) => first + k + 1);
  const beginnings = new Map(operations.value.map(({ n, lines }) => [lines[0], n]));
  return (
    <div
      ref={box}
      class="lines"
      role="listbox"
      tabIndex={0}
      aria-label="Lines of the job: arrow keys step by line, Page Up and Page Down by operation"
      aria-activedescendant={shown.includes(line) ? `line-${line}` : undefined}
      style={{ height: `${view}px` }}
      onScroll={(event) => setTop(event.currentTarget.scrollTop)}
      onKeyDown={(event) => {
        if (event.key === 'ArrowDown') onStep(1);
        else if (event.key === 'ArrowUp') onStep(-1);
        else if (event.key === 'PageDown') onOperation(1);
        else if (event.key === 'PageUp') onOperation(-1);
        else return;
        event.preventDefault();
        event.stopPropagation();
      }}
    >
      <div class="lines-all" style={{ height: `${tall}px` }}>
        <div
          class="lines-seen"
          style={{ transform: `translateY(${isWhole ? first * ROW_PX : Math.min(top, tall - view)}px)` }}
        >
          {shown.map((n) => {
            const found = findings.get(n)?.[0];
            const operation = beginnings.get(n);
            return (
              // biome-ignore lint/a11y/useKeyWithClickEvents: the list of which it is an option takes the keys
              <div
                key={n}
                id={`line-${n}`}
                role="option"
                tabIndex={-1}
                aria-selected={n === line}
                class={n === line ? 'code-line now' : 'code-line'}
                onClick={() => onLine(n)}
              >
                <span class="margin" title={found?.message ?? ''}>
                  {found ? (
                    <b class={found.severity}>{SEVERITY_MARKS[found.severity]}</b>
                  ) : operation ? (
                    <span class="op">{operation}</span>
                  ) : null}
                </span>
                <span class="n">{n}</span>
                <code>{lineText(text, starts, n)}</code>
                {found ? <span class="hidden">: {found.message}</span> : null}
              </div>
            );
          })}
        </div>
      </div>
    </div>
  );
}
