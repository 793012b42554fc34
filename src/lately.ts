/**
 * Keeps what was worked out for a few keys, so that who asks for the same soon again need not wait: tables that the
 * forecasts of one wood under one beam share. What is kept is handed out as it is, so nobody may write into it.
 * @param most so many are kept; then the one that was made first goes.
 * @returns what `work` gives for a key, the numbers (or JSON) it depends on.
 */
export function lately<Made extends object>(
  most: number,
): (key: readonly (number | string | null | undefined)[], work: () => Made) => Made {
  const made = new Map<string, Made>();
  return (key, work) => {
    const words = key.join(' ');
    const known = made.get(words);
    if (known) return known;
    const fresh = work();
    if (made.size >= most) made.delete(made.keys().next().value!);
    made.set(words, fresh);
    return fresh;
  };
}

/** Asks each question once, however often its answer is wanted: questions are told apart as objects, and none is given up. */
export function askedOnce<Question extends object, Answer extends object>(
  ask: (question: Question) => Answer,
): (question: Question) => Answer {
  const known = new Map<Question, Answer>();
  return (question) => {
    const answer = known.get(question) ?? ask(question);
    known.set(question, answer);
    return answer;
  };
}
