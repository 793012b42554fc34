/** The stage's colours, in sRGB, for light and dark rooms. */
export interface Palette {
  /** How bright it is; in a light room what faces up gets 1, so that wood has the colours of the pictures. */
  readonly level: number;
  readonly paper: number;
  readonly bed: number;
  readonly bedLine: string;
  readonly bedInk: string;
  readonly metal: number;
  readonly head: number;
  readonly travel: number;
  readonly ember: number;
  /** What would be burned beside the board. */
  readonly astray: number;
}

export const LIGHT: Palette = {
  level: 1,
  paper: 0xf4eee2,
  bed: 0xdfdad0,
  bedLine: '#b9b1a2',
  bedInk: '#8a8172',
  metal: 0xb9b3a8,
  head: 0x6a625a,
  travel: 0x5d7a86,
  ember: 0xc0392b,
  astray: 0x8a4b2a,
};

export const DARK: Palette = {
  level: 0.9,
  paper: 0x1d1612,
  bed: 0x2a2420,
  bedLine: '#443730',
  bedInk: '#85735f',
  metal: 0x6f675e,
  head: 0x3c352f,
  travel: 0x8fb0bd,
  ember: 0xf06a42,
  astray: 0xd08a5a,
};
