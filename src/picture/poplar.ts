import { shippedMaterials } from '../burn/shipped.ts';
import { type TonePath, tonePathOf } from './tone.ts';

/** The way of poplar plywood, for when no material says better. */
export const POPLAR_TONE_PATH: TonePath = tonePathOf(shippedMaterials['poplar plywood']!);
