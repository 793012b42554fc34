import { colourDifference, L_SEEN_FROM } from '../burn/colour.ts';
import type { Lab } from '../burn/material.ts';
import type { EngravingForecast } from '../findings/evidence/engravings.ts';
import { PLAINLY_DIFFERENT } from '../findings/evidence/visible-difference.ts';
import { shadeWords } from '../sure/words.ts';

/** A smaller difference in tone is none to the eye (`picture/compare-picture.ts`). */
const SEEN_FROM = 0.01;
/** More operations than these are not listed one by one. */
export const MOST_LISTED = 4;

/** What an operation comes out as, and the colour that its wood has there (CIELAB). */
export interface Shade extends EngravingForecast {
  readonly lab: Lab;
}

interface Told {
  readonly engravings: readonly Shade[];
}

/**
 * Operations whose tones differ by less than what is not known of them: the tone of each lies within the other's range. On
 * one board the darker is darker all the same, but which of two boards had which setting could not be told. What nobody sees is not among them.
 */
export function cannotBeTold(a: Told, b: Told): string[] {
  const inB = new Map(b.engravings.map((each) => [each.operation, each]));
  const alike = a.engravings.flatMap((before) => {
    const after = inB.get(before.operation);
    return after && cannotTell(before, after) && isSeen(before, after) ? [[before, after] as const] : [];
  });
  if (alike.length > MOST_LISTED) {
    return [
      `${alike.length} operations differ in tone by less than what is not known: on this wood you could not tell them apart ` +
        'from one board to the next.',
    ];
  }
  return alike.map(([before, after]) => {
    const [was, is] = [shadeWords(before.tone), shadeWords(after.tone)];
    const words = was === is ? `both ${was}` : `${was} and ${is}`;
    // By lightness, as the tones are told: char that is burned on grows paler.
    const darker = after.lab[0] < before.lab[0] ? 'B' : 'A';
    return (
      `Operation ${before.operation}, ${words}: the difference is smaller than what is not known. From one board to the next ` +
      `on this wood you could not tell them apart; side by side on one board ${darker} is the darker.`
    );
  });
}

/** Whether anybody sees that the two differ, be it side by side on one board. */
export const isSeen = ({ lab: a }: Shade, { lab: b }: Shade): boolean =>
  Math.abs(b[0] - a[0]) >= L_SEEN_FROM || colourDifference(b, a) >= PLAINLY_DIFFERENT;

/** Whether the tone of each lies within the other's range. */
export const cannotTell = (before: EngravingForecast, after: EngravingForecast): boolean =>
  differs(before, after) && within(before, after) && within(after, before);

export const differs = (a: EngravingForecast, b: EngravingForecast): boolean =>
  Math.abs(a.tone - b.tone) >= SEEN_FROM;

const within = ({ tone }: EngravingForecast, { toneLow, toneHigh }: EngravingForecast): boolean =>
  tone > toneLow && tone < toneHigh;
