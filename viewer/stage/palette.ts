/** The stage's colours, in sRGB, for light and dark rooms. */
export interface Palette {
  readonly paper: number;
  readonly bed: number;
  readonly bedLine: string;
  readonly bedInk: string;
  readonly metal: number;
  readonly head: number;
  readonly travel: number;
  /** What would be burned beside the board. */
  readonly astray: number;
}

export const LIGHT: Palette = {
  paper: 0xf4eee2,
  bed: 0xdfdad0,
  bedLine: '#b9b1a2',
  bedInk: '#8a8172',
  metal: 0xb9b3a8,
  head: 0x6a625a,
  travel: 0x5d7a86,
  astray: 0x8a4b2a,
};

export const DARK: Palette = {
  paper: 0x1d1612,
  bed: 0x2a2420,
  bedLine: '#443730',
  bedInk: '#85735f',
  metal: 0x6f675e,
  head: 0x3c352f,
  travel: 0x8fb0bd,
  astray: 0xd08a5a,
};
