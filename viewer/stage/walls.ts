import { BufferAttribute, BufferGeometry } from 'three';
import type { GridFrame } from '../../src/grid.ts';

/** Marks so far around an edge tell which way its wall faces, texels. */
const AROUND = 3;
/** No more edges than about this get walls, from the lowest row up. */
const MOST_WALLS = 120_000;

/** Upright faces where pieces meet: one of each piece, facing the other. `owner` is the mark it belongs to. */
export function wallsOf(frame: GridFrame, marks: Uint8Array, thicknessMm: number): BufferGeometry {
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const places: number[] = [];
  const normals: number[] = [];
  const owners: number[] = [];
  const at = (i: number, j: number): number =>
    i >= 0 && j >= 0 && i < nx && j < ny ? marks[j * nx + i]! : 0;
  /** One wall from a to b, belonging to `owner`, facing (x, y). */
  const add = (owner: number, [ax, ay, bx, by]: readonly number[], x: number, y: number): void => {
    places.push(ax!, ay!, 0, bx!, by!, 0, ax!, ay!, -thicknessMm, bx!, by!, -thicknessMm);
    for (let k = 0; k < 4; k++) {
      normals.push(x, y, 0);
      owners.push(owner);
    }
  };
  /** Between two cells, `near` before and `far` beyond the edge; (i, j) is the cell beyond. */
  const edge = (
    near: number,
    far: number,
    i: number,
    j: number,
    ends: readonly number[],
    isAcross: boolean,
  ): void => {
    // Where the piece beyond lies, smoothed over what is around.
    let x = 0;
    let y = 0;
    for (let b = -AROUND; b < AROUND + (isAcross ? 0 : 1); b++)
      for (let a = -AROUND; a < AROUND + (isAcross ? 1 : 0); a++)
        if (at(i + a, j + b) === far) {
          x += isAcross ? a : a + 0.5;
          y += isAcross ? b + 0.5 : b;
        }
    const length = Math.hypot(x, y) || 1;
    add(near, ends, x / length, y / length);
    const [ax, ay, bx, by] = ends;
    add(far, [bx!, by!, ax!, ay!], -x / length, -y / length);
  };
  for (let j = 1; j < ny && owners.length < 8 * MOST_WALLS; j++)
    for (let i = 1; i < nx; i++) {
      const own = marks[j * nx + i]!;
      const x = x0Mm + i * cellMm;
      const y = y0Mm + j * cellMm;
      const beneath = marks[(j - 1) * nx + i]!;
      if (own !== beneath) edge(beneath, own, i, j, [x, y, x + cellMm, y], true);
      const before = marks[j * nx + i - 1]!;
      if (own !== before) edge(before, own, i, j, [x, y, x, y + cellMm], false);
    }
  const faces = new Uint32Array((owners.length / 4) * 6);
  for (let k = 0; k < owners.length / 4; k++)
    faces.set([4 * k, 4 * k + 1, 4 * k + 2, 4 * k + 1, 4 * k + 3, 4 * k + 2], 6 * k);
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(places), 3));
  geometry.setAttribute('normal', new BufferAttribute(Float32Array.from(normals), 3));
  geometry.setAttribute('owner', new BufferAttribute(Float32Array.from(owners), 1));
  geometry.setIndex(new BufferAttribute(faces, 1));
  return geometry;
}
