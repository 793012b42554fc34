import { useMemo, useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import { cutLinesDoubt, type MadeSwatch, makeSwatch } from '../../src/swatch/make.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { timeWords } from '../../src/words.ts';
import { NumberField } from '../bench/NumberField.tsx';
import { viewOf } from '../learn/gantry.ts';
import { Burned } from '../machine/Burned.tsx';
import { downloadJson, downloadText } from '../state/download.ts';
import { setup } from '../state/store.ts';
import { swatch, takeSwatch } from '../state/swatch.ts';
import { Kept } from '../words/Kept.tsx';

/** So fine is the preview burned, mm. */
const PREVIEW_CELL_MM = 0.1;
const PREVIEW_PX = 1000;

const nameOf = ({ code }: Swatch): string => `swatch-${code?.text ?? 'new'}`;

/** The swatch for the bench's machine and wood on a board: how it will look, and its files. */
export function MakeSwatch() {
  const at = setup.value!;
  const [width, setWidth] = useState(100);
  const [height, setHeight] = useState(60);
  const [thick, setThick] = useState(at.stock?.thicknessMm ?? 4);
  const [tookS, setTookS] = useState<number | null>(null);
  const stock = { widthMm: width, heightMm: height, thicknessMm: thick, xMm: 0, yMm: 0 };
  const { machine, material } = at;
  const made = useMemo((): MadeSwatch | string => {
    try {
      return makeSwatch(machine, stock, { material });
    } catch (error) {
      if (error instanceof InputError) return error.toString();
      throw error;
    }
  }, [JSON.stringify(machine), JSON.stringify(material), width, height, thick]);
  const hasCuts = typeof made !== 'string' && made.swatch.cuts.length > 0;
  const doubt = useMemo(
    () => (hasCuts ? cutLinesDoubt(machine, material, thick) : null),
    [JSON.stringify(machine), JSON.stringify(material), thick, hasCuts],
  );
  return (
    <section aria-labelledby="make-swatch">
      <h2 id="make-swatch">Make a swatch</h2>
      <p>
        For {machine.name}, on a board of{' '}
        <NumberField
          label="width of the swatch's board"
          value={width}
          min={20}
          max={400}
          step={5}
          onChange={setWidth}
        />
        {' × '}
        <NumberField
          label="height of the swatch's board"
          unit="mm"
          value={height}
          min={20}
          max={400}
          step={5}
          onChange={setHeight}
        />
        ,{' '}
        <NumberField
          label="thickness of the swatch's board"
          unit="mm"
          value={thick}
          min={0.5}
          max={30}
          step={0.1}
          onChange={setThick}
        />{' '}
        thick, it will look like this{tookS === null ? '' : `, and take ${timeWords(tookS)}`}:
      </p>
      {typeof made === 'string' ? (
        <p class="over" role="alert">
          <Kept>{made}</Kept>
        </p>
      ) : (
        <>
          <Burned
            id="swatch"
            what="The swatch as it will be burned: patches from light to dark, lines, cuts, four marks in the corners"
            trial={{
              text: made.gcode,
              machine,
              material,
              stock,
              cellMm: PREVIEW_CELL_MM,
              figure: viewOf(stock, PREVIEW_PX),
            }}
            told={({ forecast }) => setTookS(forecast.motion.durationS)}
          />
          {doubt ? (
            <p class="over" role="status">
              <Kept>{doubt}</Kept>
            </p>
          ) : null}
          {made.notes.map((note) => (
            <p key={note} class="quiet">
              <Kept>{note}</Kept>
            </p>
          ))}
          <p class="acts">
            <button
              type="button"
              class="press"
              onClick={() => {
                downloadText(`${nameOf(made.swatch)}.nc`, made.gcode);
                takeSwatch(made.swatch);
              }}
            >
              Save the swatch
            </button>
            {swatch.value ? (
              <button
                type="button"
                class="link"
                onClick={() => downloadJson(`${nameOf(swatch.value!)}.json`, swatch.value)}
              >
                save its key
              </button>
            ) : null}
          </p>
          <p class="quiet" role="status">
            {swatch.value
              ? `In hand is the swatch ${swatch.value.code?.text ?? ''} for ${swatch.value.machine.name}. This browser keeps its key, which says what burned each part; save it too to read the photo elsewhere.`
              : ''}
          </p>
        </>
      )}
    </section>
  );
}
