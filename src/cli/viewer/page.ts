import { InputError } from '../../errors.ts';
import type { BroughtJob } from '../../page/brought-job.ts';

/**
 * The page with jobs put inside it, as data that no browser runs: in JSON every `<` becomes `\u003c`, so no
 * text of a job can end the block or begin a tag; line ends that scripts and JSON tell apart are escaped too.
 */
export function withJobs(html: string, jobs: readonly BroughtJob[]): string {
  if (jobs.length === 0) return html;
  try {
    const json = JSON.stringify(jobs)
      .replaceAll('<', '\\u003c')
      .replaceAll('\u2028', '\\u2028')
      .replaceAll('\u2029', '\\u2029');
    const block = `<script type="application/json" id="charcast-jobs">${json}</script>\n  </head>`;
    return html.replace('</head>', () => block);
  } catch (error) {
    // The engine holds no longer text, and a browser could not read one.
    if (!(error instanceof RangeError)) throw error;
    throw new InputError('found jobs too large for one page; expected smaller ones, or one alone');
  }
}
