import type { Comparison } from '../compare/compare.ts';
import { cutSentence } from '../findings/evidence/cut-forecast.ts';
import type { Finding, Severity } from '../findings/finding.ts';
import { type Forecast, inBurnOrder } from '../forecast.ts';
import { CLOSE_UP_ACROSS_MM } from '../picture/close-ups.ts';
import { lengthWords, numberWords, operationSentence, timeWords } from '../words.ts';
import { type Html, html } from './escape.ts';
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

/**
 * The forecast as one self-contained HTML file: no script, nothing fetched, every word of the job and of the
 * profiles escaped.
 */
export function reportPage({ title, told, comparison, pictures, caution }: ReportPage): string {
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<title>${title}</title>
<style>`;
  const body = html`</style>
</head>
<body>
<main>
<h1>${title}</h1>
${told.map(({ name, forecast }, k) => lead(told.length > 1 ? `${LETTERS[k]}, ${name}: ` : '', forecast))}
${pictures.map(figure)}
${comparison ? compareTable(comparison, told) : null}
${told.map((each, k) => chapter(told.length > 1 ? ` of ${LETTERS[k]}` : '', each))}
<p class="cautions">${caution}</p>
</main>
</body>
</html>
`;
  return page.text + PAGE_STYLE + body.text;
}

function lead(of: string, { machine, material, motion, dose, burnMm }: Forecast): Html {
  return html`<p class="quiet">${of}${machine.name}, ${material.name}; ${timeWords(motion.durationS)}, ${lengthWords(burnMm)} of path burned with ${numberWords(dose.energyJ)} J.</p>
`;
}

const figure = ({ dataUri, alt, caption }: PagePicture): Html =>
  html`<figure><img src="${dataUri}" alt="${alt}"><figcaption>${caption}</figcaption></figure>
`;

function compareTable({ rows, gone, come }: Comparison, told: readonly Told[]): Html {
  const list = (words: string, names: readonly string[]) =>
    names.length === 0
      ? null
      : html`<p>${words}: ${names.join('; ')}.</p>
`;
  return html`<h2>Side by side</h2>
<table>
<thead><tr><th scope="col"></th><th scope="col">A: ${told[0]!.name}</th><th scope="col">B: ${told[1]!.name}</th></tr></thead>
<tbody>
${rows.map(
  ({
    name,
    a,
    b,
    differs,
  }) => html`<tr${differs ? html` class="differs"` : null}><th scope="row">${name}</th><td>${a}</td><td>${b}</td></tr>
`,
)}</tbody>
</table>
${list('Findings that B no longer has', gone)}${list('Findings that only B has', come)}`;
}

function chapter(of: string, { forecast, closeUps }: Told): Html {
  const { findings, machine, notes, program } = forecast;
  return html`<h2>Operations${of}</h2>
<ol>
${inBurnOrder(forecast).map(
  ({
    operation,
    durationS,
    energyJ,
  }) => html`<li value="${operation.n}">${operationSentence(operation, machine)} <span class="quiet">${timeWords(durationS)}, ${numberWords(energyJ)} J.</span></li>
`,
)}</ol>
${forecast.cuts.map(
  (cut) => html`<p>${cutSentence(cut)}</p>
`,
)}<h2>What will go wrong${of}</h2>
${
  findings.length === 0
    ? html`<p>Nothing was found.</p>
`
    : findings.map((finding, k) => story(finding, closeUps[k] ?? null))
}
<h2>Good to know${of}</h2>
<ul>
${notes.map(
  (note) => html`<li>${note}</li>
`,
)}${program.understood.map(
  ({ line, text }) => html`<li>Line ${line}: ${text}</li>
`,
)}</ul>
`;
}

const story = (
  { severity, line, message, remedy }: Finding,
  closeUp: string | null,
): Html => html`<section class="story">
${closeUp === null ? null : html`<img src="${closeUp}" alt="${`The place from close up, ${CLOSE_UP_ACROSS_MM} mm across`}">`}<p><span class="weight">${WEIGHT[severity]}${line > 0 ? `, line ${line}` : ''}.</span> ${message}</p>
<p class="remedy">${remedy}</p>
</section>
`;
