import { BoxGeometry, Group, Mesh, MeshLambertMaterial } from 'three';
import type { Bounds } from '../../src/grid.ts';

/** Bars under the board's edge stand so far apart at most, and are so wide, mm. */
const APART_MM = 90;
const WIDE_MM = 5;

/** What holds the board above the bed: short bars under its two long edges, clear of what is cut out of it. */
export class Supports {
  readonly group = new Group();
  readonly #material = new MeshLambertMaterial();

  under(board: Bounds, thicknessMm: number, highMm: number, colour: number): void {
    for (const bar of this.group.children) (bar as Mesh).geometry.dispose();
    this.group.clear();
    this.#material.color.set(colour).multiplyScalar(0.8);
    const widthMm = board.maxXMm - board.minXMm;
    const count = Math.max(2, Math.ceil(widthMm / APART_MM) + 1);
    for (let k = 0; k < count; k++)
      for (const y of [board.minYMm, board.maxYMm]) {
        const bar = new Mesh(new BoxGeometry(WIDE_MM, WIDE_MM, highMm), this.#material);
        const inset = WIDE_MM;
        const x = board.minXMm + inset + ((widthMm - 2 * inset) * k) / (count - 1);
        bar.position.set(x, y, -thicknessMm - highMm / 2);
        this.group.add(bar);
      }
  }
}
