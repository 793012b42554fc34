import type { Setup } from '../worker/messages.ts';

/**
 * The job's text with the changes written into it. What is needed for that is fetched when it is first asked.
 * @throws {InputError} in one sentence, where a change cannot be made safely.
 */
export async function adjustedText({ job, changes, machine }: Setup): Promise<string> {
  const { adjustText } = await import('../../src/change/adjust-text.ts');
  return adjustText(job.text, changes, machine);
}
