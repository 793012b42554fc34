import type { Forecast } from '../forecast.ts';
import { CAUTION } from './caution.ts';
import { reportPage } from './report-page.tsx';

/** The pictures of a forecast's page, as data URIs. */
interface PagePictures {
  readonly burn: string;
  readonly dose: string;
  /** How sure it is, where that was asked for. */
  readonly sure?: string;
  /** One for each finding; null where it has no place. */
  readonly closeUps: readonly (string | null)[];
}

/** A forecast as one page that a person can send to a friend: no script, nothing fetched. */
export const forecastPage = (
  forecast: Forecast,
  title: string,
  { burn, dose, sure, closeUps }: PagePictures,
): string =>
  reportPage({
    title,
    told: [{ name: title, forecast, closeUps }],
    comparison: null,
    pictures: [
      {
        dataUri: burn,
        alt: 'The board from above as it will be burned',
        caption: 'The burn, as it will look.',
      },
      { dataUri: dose, alt: 'A heat map of the dose on the board', caption: 'Where the energy lands.' },
      ...(sure === undefined
        ? []
        : [
            {
              dataUri: sure,
              alt: 'A map of the board: how wide the range of the tone is, and where cuts may not come through',
              caption: 'How sure it is.',
            },
          ]),
    ],
    caution: CAUTION,
  });
