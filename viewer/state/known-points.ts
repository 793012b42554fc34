import { sheetCorners } from '../../src/own-board/points.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';

export type Place = readonly [xMm: number, yMm: number];
/** What the four points on a photo are: corners of a sheet of paper, or whatever lies at known places. */
export type KnownBy = 'a4' | 'letter' | 'a5' | 'a3' | 'points';

export interface BoardPhoto {
  readonly file: File;
  /** Four points of known place on the photo, px; null: not laid on it yet. */
  readonly corners: readonly PhotoPoint[] | null;
  /** The board's outline on the photo, px; null: not found yet, or the points are shown again. */
  readonly outline: readonly PhotoPoint[] | null;
  readonly by: KnownBy;
  readonly isLying: boolean;
  /** Where the sheet's lower left corner lies, and where the free points do, mm of the machine. */
  readonly sheetAtMm: Place;
  readonly pointsMm: readonly Place[];
}

/** Where the four points lie on the bed, mm. */
export const placesOf = ({ by, isLying, sheetAtMm, pointsMm }: BoardPhoto): readonly Place[] =>
  by === 'points' ? pointsMm : sheetCorners(by, isLying, ...sheetAtMm);
