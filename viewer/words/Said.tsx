import { Kept } from './Kept.tsx';

/** How something that takes a while is going, or why it went no further. */
export interface Saying {
  readonly words: string;
  readonly isRefusal: boolean;
}

export function Said({ words, isRefusal }: Saying) {
  return (
    <p class={isRefusal ? 'over' : 'quiet'} role={isRefusal ? 'alert' : 'status'}>
      <Kept>{words}</Kept>
    </p>
  );
}
