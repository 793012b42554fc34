import { signal } from '@preact/signals';

/** Whether the list of keys is open. */
export const keysShown = signal(false);
