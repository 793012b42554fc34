import { useEffect, useRef } from 'preact/hooks';
import type { Stock } from '../../src/board.ts';
import type { Finding } from '../../src/findings/finding.ts';
import { notJudged } from '../../src/findings/not-judged.ts';
import { capital } from '../../src/findings/phrases.ts';
import type { Forecast } from '../../src/forecast.ts';
import { CLOSE_UP_PX, closeUpAt } from '../../src/picture/close-ups.ts';
import { numberWords } from '../../src/words.ts';
import { flyTo, showItHappen } from '../stage/visit.ts';
import { centredStock, centreJob, layBoard } from '../state/placing.ts';
import { scene, settled, status } from '../state/store.ts';
import { drawOn } from '../words/draw-on.ts';
import { inThePage } from '../words/in-the-page.ts';
import { Kept } from '../words/Kept.tsx';
import { countWords, nameWithLine } from './count-words.ts';
import { adviceWords, take } from './remedies.ts';
import { showChanged } from './show-changed.ts';

const WORDS = { stop: 'Stop', warning: 'Warning', note: 'Note' } as const;
const FIRST_SHOWN = 12;

/** What the forecast expects to go wrong, as short stories, the costliest first. */
export function Findings() {
  const at = scene.value;
  if (!at) return null;
  const findings = at.forecast.findings;
  const working = status.value.kind === 'working';
  return (
    <section aria-labelledby="findings" class={working || !settled.value ? 'findings waiting' : 'findings'}>
      <h2 id="findings" tabIndex={-1}>
        What will happen
      </h2>
      <NotYet />
      {findings.length === 0 ? (
        <p>
          {capital(countWords([], notJudged(at.forecast)))}. Corners, row ends, starts and stops, row spacing,{' '}
          {at.forecast.stock?.thicknessMm ? 'cuts, ' : ''}limits and bounds were checked against what each
          operation gives on its long straight parts.
        </p>
      ) : (
        findings
          .slice(0, FIRST_SHOWN)
          .map((finding) => (
            <Story
              key={`${finding.kind} ${finding.line}`}
              finding={finding}
              made={at.isFine ? at.forecast : null}
            />
          ))
      )}
      {findings.length > FIRST_SHOWN ? (
        <p class="quiet">… and {findings.length - FIRST_SHOWN} more like these; the report lists them all.</p>
      ) : null}
    </section>
  );
}

const NOT_YET = 'Remedies can be taken once the fine forecast is done.';

/** Why no remedy can be pressed while a forecast is coarse or of other settings; read where the button points to. */
const NotYet = () => (
  <p class="hidden" id="not-yet">
    {settled.value ? '' : NOT_YET}
  </p>
);

interface RemedyProps {
  readonly words: string;
  /** It is being done already. */
  readonly isBusy?: boolean;
  readonly onPress: (byKeyboard: boolean) => void;
}

/** A remedy, to be pressed once the forecast that advises it is the fine one of what is asked now. */
export function Remedy({ words, isBusy = false, onPress }: RemedyProps) {
  const isSettled = settled.value;
  const isReady = isSettled && !isBusy;
  return (
    <button
      type="button"
      class="press"
      aria-disabled={!isReady}
      aria-describedby={isSettled ? undefined : 'not-yet'}
      title={isSettled ? undefined : NOT_YET}
      // A press of a key has no clicks to count.
      onClick={({ detail }) => isReady && onPress(detail === 0)}
    >
      {words}
    </button>
  );
}

interface StoryProps {
  readonly finding: Finding;
  /** The fine forecast that its place is drawn from; null: there is none yet. */
  readonly made: Forecast | null;
}

function Story({ finding, made }: StoryProps) {
  const { severity, message, remedy, atMm, line, operation, advice } = finding;
  return (
    <article class={`story ${severity}`}>
      {made && atMm ? (
        <CloseUp made={made} atMm={atMm} of={nameWithLine(finding)} onPress={() => flyTo(finding)} />
      ) : null}
      <div>
        <p>
          <b class="severity">{WORDS[severity]}.</b> <Kept>{message}</Kept>
        </p>
        <p class="remedy">
          <Kept>{inThePage(remedy)}</Kept>
        </p>
        <p class="acts">
          {advice ? (
            <Remedy
              words={adviceWords(advice)}
              onPress={(byKeyboard) => {
                take(advice);
                showChanged(advice.operation, byKeyboard);
              }}
            />
          ) : null}
          {finding.kind === 'off-stock' && centredStock.value ? (
            <>
              <Remedy words="Move the job to the middle of the board" onPress={centreJob} />
              <Remedy words={layWords(centredStock.value)} onPress={layBoard} />
            </>
          ) : null}
          {atMm ? (
            <button
              type="button"
              class="link"
              aria-label={`show it happen: ${nameWithLine(finding)}`}
              onClick={() => showItHappen(finding)}
            >
              show it happen
            </button>
          ) : null}
          <span class="quiet">
            {[line > 0 ? `line ${line}` : null, operation ? `operation ${operation}` : null]
              .filter((part) => part !== null)
              .join(', ')}
          </span>
        </p>
      </div>
    </article>
  );
}

/** A burn that misses the board needs no other file where the board can be laid under it. */
const layWords = ({ xMm, yMm }: Stock): string =>
  `Lay the board at x ${numberWords(xMm, 5)}, y ${numberWords(yMm, 5)} mm of the machine instead`;

interface CloseUpProps {
  readonly made: Forecast;
  readonly atMm: readonly [number, number];
  /** What is seen, by name. */
  readonly of: string;
  readonly onPress: () => void;
}

/** The wood at a finding's place, drawn when it comes into sight: of many findings few are looked at. */
function CloseUp({ made, atMm, of, onPress }: CloseUpProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const watch = new IntersectionObserver((seen) => {
      if (!seen.some(({ isIntersecting }) => isIntersecting)) return;
      watch.disconnect();
      drawOn(canvas.current!, closeUpAt(atMm, made));
    });
    watch.observe(canvas.current!);
    return () => watch.disconnect();
  }, [made, ...atMm]);
  return (
    <button type="button" class="close-up" onClick={onPress} aria-label={`Fly to this place: ${of}`}>
      <canvas ref={canvas} {...CLOSE_UP_PX} />
    </button>
  );
}
