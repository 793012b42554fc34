import { median } from 'd3-array';
import { scaleLinear, scaleLog } from 'd3-scale';
import { greatestOf, leastOf } from '../../src/lists.ts';
import type { SwatchFit } from '../../src/swatch/fit/fit.ts';
import { coolDoseOf } from '../../src/swatch/fit/response.ts';
import { numberWords } from '../../src/words.ts';
import { cssOfLab } from '../words/css-colour.ts';

const WIDTH = 460;
const HEIGHT = 230;
const LEFT = 34;
const BOTTOM = 34;
const STEPS = 90;
const BAND_SIGMAS = 2;

/** Lightness of the patches over the dose they truly got, in their colours on the photo, with the fitted curve. */
export function FitChart({ fit }: { readonly fit: SwatchFit }) {
  const { observations, response, material } = fit;
  const patches = observations.filter(({ dose }) => dose.meanJPerMm2 > 0);
  const doses = patches.map(({ dose }) => coolDoseOf(dose, material));
  const [from, to] = [leastOf(doses) * 0.82, greatestOf(doses) * 1.22];
  const x = scaleLog([from, to], [LEFT, WIDTH - 6]);
  const y = scaleLinear([0, 100], [HEIGHT - BOTTOM, 6]);
  const dwellS = median(patches, ({ dose }) => dose.dwellS) ?? 0.01;
  const curve = Array.from({ length: STEPS + 1 }, (_, k) => {
    const dose = from * (to / from) ** (k / STEPS);
    return { dose, ...response.lightnessAt(dose, dwellS) };
  });
  const line = (sigmas: number) =>
    curve.map(({ dose, l, sigma }) => `${x(dose).toFixed(1)} ${y(l + sigmas * sigma).toFixed(1)}`);
  const ticks = x.ticks(4).filter((tick) => /^[125]/.test(tick.toExponential()));
  return (
    <figure class="fit-chart">
      <svg
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        class="chart"
        role="img"
        aria-label={`Lightness of ${patches.length} patches over their dose, from ${numberWords(from, 2)} to ${numberWords(to, 2)} J/mm², with the fitted curve through them`}
      >
        {[20, 40, 60, 80].map((l) => (
          <g key={l}>
            <line x1={LEFT} x2={WIDTH - 6} y1={y(l)} y2={y(l)} class="rule" />
            <text x={LEFT - 6} y={y(l) + 4} text-anchor="end" class="name">
              {l}
            </text>
          </g>
        ))}
        {ticks.map((tick) => (
          <text key={tick} x={x(tick)} y={HEIGHT - BOTTOM + 15} text-anchor="middle" class="name">
            {numberWords(tick, 2)}
          </text>
        ))}
        <text x={WIDTH - 6} y={HEIGHT - 3} text-anchor="end" class="name">
          dose, J/mm²
        </text>
        <text x={4} y={14} class="name">
          L*
        </text>
        <path
          d={`M${line(BAND_SIGMAS).join('L')}L${line(-BAND_SIGMAS).toReversed().join('L')}Z`}
          class="area"
        />
        <path d={`M${line(0).join('L')}`} class="curve" />
        {patches.map(({ dose, lab }) => (
          <rect
            key={dose.patch.n}
            x={x(coolDoseOf(dose, material)) - 4}
            y={y(lab[0]) - 4}
            width={8}
            height={8}
            class="patch"
            style={{ fill: cssOfLab(lab) }}
          />
        ))}
      </svg>
      <figcaption class="quiet">
        Each square is a patch in its colour on the photo; the line is what the fitted wood forecasts, the
        band two standard uncertainties of it.
      </figcaption>
    </figure>
  );
}
