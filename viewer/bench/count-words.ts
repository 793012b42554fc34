import type { Finding } from '../../src/findings/finding.ts';
import { findingName } from '../../src/findings/finding-names.ts';

/**
 * How many findings there are and how many of them are more than notes: `4 things stand out, 2 serious`.
 * @param unjudged what was not judged; null: all was.
 */
export function countWords(
  findings: readonly Pick<Finding, 'severity'>[],
  unjudged: string | null = null,
): string {
  const all = findings.length;
  const serious = findings.filter(({ severity }) => severity !== 'note').length;
  if (all === 0) return `nothing stands out${unjudged ? ' in what was judged' : ''}`;
  if (all === 1)
    return serious === 1 ? 'one serious thing stands out' : 'one thing stands out, nothing serious';
  const share = serious === 0 ? 'none' : serious === all ? (all === 2 ? 'both' : 'all') : serious;
  return `${all} things stand out, ${share} serious`;
}

/** A finding's name in a list of them: `dark corners in operation 2, line 45`. */
export const nameWithLine = (finding: Pick<Finding, 'kind' | 'operation' | 'line'>): string =>
  finding.line > 0 ? `${findingName(finding)}, line ${finding.line}` : findingName(finding);
