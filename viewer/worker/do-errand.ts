import { readPhoto } from '../../src/swatch/photo/read.ts';
import { replaySwatch } from '../../src/swatch/replay.ts';
import type { Errand } from './errand.ts';

/** What an errand asks for; fetched with the first of them. */
export const doErrand = (asked: Errand): unknown =>
  asked.errand === 'photo'
    ? readPhoto(asked.photo, asked.swatch, { corners: asked.corners, white: asked.white })
    : replaySwatch(asked.swatch);
