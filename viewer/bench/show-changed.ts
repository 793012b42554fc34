const SHOWN_MS = 2400;

/** The sentence of an operation, where a remedy has changed it. */
export const sentenceId = (operation: number): string => `operation-${operation}`;

/**
 * Brings a sentence that was changed from elsewhere into view and marks it for a moment, so that what became of it is
 * seen, and the way back with it. Who came by the keyboard goes on there.
 */
export function showChanged(operation: number, byKeyboard: boolean): void {
  requestAnimationFrame(() => {
    const sentence = document.getElementById(sentenceId(operation));
    if (!sentence) return;
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    sentence.scrollIntoView({ block: 'center', behavior: still ? 'auto' : 'smooth' });
    const wash = getComputedStyle(sentence).getPropertyValue('--ember-wash');
    const last = still ? wash : 'transparent';
    sentence.animate(
      [
        { backgroundColor: wash, boxShadow: `0 0 0 6px ${wash}` },
        { backgroundColor: last, boxShadow: `0 0 0 6px ${last}` },
      ],
      { id: 'shown', duration: SHOWN_MS, easing: 'ease-in' },
    );
    if (byKeyboard) sentence.querySelector<HTMLElement>('.put-back')?.focus({ preventScroll: true });
  });
}
