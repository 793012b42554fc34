import { renderToStaticMarkup } from 'preact-render-to-string';
import type { Comparison } from '../compare/compare.ts';
import type { Finding, Severity } from '../findings/finding.ts';
import { notJudged } from '../findings/not-judged.ts';
import { understoodBesides } from '../findings/other-scale.ts';
import { becomesOf, type Forecast, inBurnOrder } from '../forecast.ts';
import { leftOver, leftOverSentence } from '../parts/left-over.ts';
import { CLOSE_UP_ACROSS_MM } from '../picture/close-ups.ts';
import { lengthWords, numberWords, operationSentence, timeWords } from '../words.ts';
import { PAGE_STYLE } from './style.ts';

/** A picture on the page: its bytes as a data URI, so that the page is one file. */
interface PagePicture {
  readonly dataUri: string;
  /** What it shows, for those who cannot see it. */
  readonly alt: string;
  readonly caption: string;
}

/** One forecast on the page, by the name it goes by. */
interface Told {
  readonly name: string;
  readonly forecast: Forecast;
  /** A picture of each finding's place as a data URI, in their order; null where it has none. */
  readonly closeUps: readonly (string | null)[];
}

interface ReportPage {
  readonly title: string;
  /** One forecast, or the two that are compared. */
  readonly told: readonly Told[];
  readonly comparison: Comparison | null;
  readonly pictures: readonly PagePicture[];
  readonly caution: string;
}

/** What the two of a comparison are called. */
const LETTERS = ['A', 'B'] as const;
const WEIGHT: Record<Severity, string> = { stop: 'Stop', warning: 'Warning', note: 'Note' };
/** Nothing is run and nothing is fetched, whatever words the job and the profiles hold. */
const POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";

/**
 * The forecast as one self-contained HTML file: no script, nothing fetched, every word of the job and of the
 * profiles escaped.
 */
export const reportPage = (page: ReportPage): string =>
  `<!doctype html>\n${renderToStaticMarkup(<Page {...page} />)}\n`;

function Page({ title, told, comparison, pictures, caution }: ReportPage) {
  const several = told.length > 1;
  return (
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta http-equiv="Content-Security-Policy" content={POLICY} />
        <title>{title}</title>
        <style dangerouslySetInnerHTML={{ __html: PAGE_STYLE }} />
      </head>
      <body>
        <main>
          <h1>{title}</h1>
          {told.map(({ name, forecast }, k) => (
            <Lead key={name} of={several ? `${LETTERS[k]}, ${name}: ` : ''} forecast={forecast} />
          ))}
          {pictures.map(({ dataUri, alt, caption }) => (
            <figure key={caption}>
              <img src={dataUri} alt={alt} />
              <figcaption>{caption}</figcaption>
            </figure>
          ))}
          {comparison && <CompareTable comparison={comparison} told={told} />}
          {told.map((each, k) => (
            <Chapter key={each.name} of={several ? ` of ${LETTERS[k]}` : ''} {...each} />
          ))}
          <p class="cautions">{caution}</p>
        </main>
      </body>
    </html>
  );
}

function Lead({
  of,
  forecast: { machine, material, motion, dose, burnMm },
}: {
  of: string;
  forecast: Forecast;
}) {
  return (
    <p class="quiet">
      {of}
      {machine.name}, {material.name}; {timeWords(motion.durationS)}, {lengthWords(burnMm)} of path burned
      with {numberWords(dose.energyJ)} J.
    </p>
  );
}

function CompareTable({ comparison, told }: { comparison: Comparison; told: readonly Told[] }) {
  const { rows, gone, come, cuts, tones, unsure } = comparison;
  return (
    <>
      <h2>Side by side</h2>
      <table>
        <thead>
          <tr>
            <th scope="col" />
            <th scope="col">A: {told[0]!.name}</th>
            <th scope="col">B: {told[1]!.name}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ name, a, b, differs }) => (
            <tr key={name} class={differs ? 'differs' : undefined}>
              <th scope="row">{name}</th>
              <td>{a}</td>
              <td>{b}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {gone.length > 0 && <p>Findings that B no longer has: {gone.join('; ')}.</p>}
      {come.length > 0 && <p>Findings that only B has: {come.join('; ')}.</p>}
      {[...cuts, ...tones, ...unsure].map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
    </>
  );
}

function Chapter({ of, forecast, closeUps }: Omit<Told, 'name'> & { of: string }) {
  const { findings, machine, notes, program } = forecast;
  const left = leftOver(forecast);
  const unjudged = notJudged(forecast);
  return (
    <>
      <h2>Operations{of}</h2>
      <ol>
        {inBurnOrder(forecast).map(({ operation, durationS, energyJ }) => (
          <li key={operation.n} value={operation.n}>
            {operationSentence(operation, machine)}{' '}
            <span class="quiet">
              {timeWords(durationS)}, {numberWords(energyJ)} J.
            </span>
          </li>
        ))}
      </ol>
      {[...becomesOf(forecast), ...(left ? [leftOverSentence(left)] : [])].map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <h2>What will go wrong{of}</h2>
      {unjudged && <p>{unjudged}</p>}
      {findings.length === 0 && <p>Nothing was found{unjudged ? ' in what was judged' : ''}.</p>}
      {findings.map((finding, k) => (
        <Story key={finding.message} finding={finding} closeUp={closeUps[k] ?? null} />
      ))}
      <h2>Good to know{of}</h2>
      <ul>
        {notes.map((note) => (
          <li key={note}>{note}</li>
        ))}
        {understoodBesides(findings, program.understood).map(({ line, text }) => (
          <li key={line}>
            Line {line}: {text}
          </li>
        ))}
      </ul>
    </>
  );
}

function Story({ finding, closeUp }: { finding: Finding; closeUp: string | null }) {
  const { severity, line, message, remedy } = finding;
  return (
    <section class="story">
      {closeUp !== null && (
        <img src={closeUp} alt={`The place from close up, ${CLOSE_UP_ACROSS_MM} mm across`} />
      )}
      <p>
        <span class="weight">
          {WEIGHT[severity]}
          {line > 0 ? `, line ${line}` : ''}.
        </span>{' '}
        {message}
      </p>
      <p class="remedy">{remedy}</p>
    </section>
  );
}
