import type { Forecast } from '../forecast.ts';
import { CAUTION } from './caution.ts';
import { reportPage } from './report-page.tsx';

/** The pictures of a forecast's page, as data URIs. */
interface PagePictures {
  readonly burn: string;
  readonly dose: string;
  /** One for each finding; null where it has no place. */
  readonly closeUps: readonly (string | null)[];
}

/** A forecast as one page that a person can send to a friend: no script, nothing fetched. */
export const forecastPage = (
  forecast: Forecast,
  title: string,
  { burn, dose, closeUps }: PagePictures,
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
    ],
    caution: CAUTION,
  });
