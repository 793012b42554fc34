import { NumberField } from './NumberField.tsx';

/** No bed is larger, mm. */
const MOST_MM = 5000;

export interface PlaceFieldsProps {
  /** What lies there, for a screen reader. */
  readonly named: string;
  readonly at: readonly [xMm: number, yMm: number];
  /** The mark that follows. */
  readonly after?: string;
  readonly changed?: boolean;
  readonly onChange: (at: readonly [xMm: number, yMm: number]) => void;
}

/** A place of the machine as two numbers of a sentence. */
export const PlaceFields = ({
  named,
  at: [xMm, yMm],
  after = '',
  changed = false,
  onChange,
}: PlaceFieldsProps) => (
  <>
    x{' '}
    <NumberField
      label={`${named} x`}
      value={xMm}
      min={-MOST_MM}
      max={MOST_MM}
      step={1}
      after=","
      changed={changed}
      onChange={(x) => onChange([x, yMm])}
    />{' '}
    y{' '}
    <NumberField
      label={`${named} y`}
      unit="mm"
      value={yMm}
      min={-MOST_MM}
      max={MOST_MM}
      step={1}
      after={after}
      changed={changed}
      onChange={(y) => onChange([xMm, y])}
    />
  </>
);
