import { differenceStops } from '../state/difference.ts';

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
