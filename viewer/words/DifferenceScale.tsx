import { differenceTable } from '../../src/picture/compare-picture.ts';

export interface DifferenceScaleProps {
  /** The scale runs from −end to end. */
  readonly end: number;
  /** Where it is darker or lighter; left out: what is beside it says so. */
  readonly where?: string;
}

/** The colours of what is lighter, equal and darker, with marks under them. */
export const DifferenceScale = ({ end, where = '' }: DifferenceScaleProps) => (
  <>
    <div class="ramp" style={{ background: `linear-gradient(to right, ${differenceStops().join(', ')})` }} />
    <div class="marks">
      <span>
        −{end}, lighter{where}
      </span>
      <span>equal</span>
      <span>
        darker{where}, +{end}
      </span>
    </div>
  </>
);

/** Colours along the scale of differences, from its lower end to its upper one, as CSS has them. */
function differenceStops(): string[] {
  const table = differenceTable();
  const last = table.length / 3 - 1;
  return Array.from({ length: 9 }, (_, k) => {
    const at = Math.round((k / 8) * last) * 3;
    return `rgb(${table[at]!.toFixed(0)} ${table[at + 1]!.toFixed(0)} ${table[at + 2]!.toFixed(0)})`;
  });
}
