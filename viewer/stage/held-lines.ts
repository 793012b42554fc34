import { BufferAttribute, BufferGeometry, DoubleSide, Mesh, MeshBasicMaterial } from 'three';
import type { HeldOutline } from '../../src/parts/held.ts';

/** Above the wood, so that it is seen over it, and how broad, mm. */
const LIFT_MM = 0.06;
const BROAD_MM = 0.7;

/** Where an outline still holds, as bands along its path. */
export function makeHeld(
  { stretches }: HeldOutline,
  colour: number,
): Mesh<BufferGeometry, MeshBasicMaterial> {
  const places: number[] = [];
  for (const points of stretches)
    for (let k = 2; k < points.length; k += 2) {
      const [x0, y0, x1, y1] = [points[k - 2]!, points[k - 1]!, points[k]!, points[k + 1]!];
      const length = Math.hypot(x1 - x0, y1 - y0);
      if (length === 0) continue;
      const ox = ((y0 - y1) / length) * (BROAD_MM / 2);
      const oy = ((x1 - x0) / length) * (BROAD_MM / 2);
      const corner = (x: number, y: number): void => {
        places.push(x, y, LIFT_MM);
      };
      corner(x0 - ox, y0 - oy);
      corner(x1 - ox, y1 - oy);
      corner(x1 + ox, y1 + oy);
      corner(x0 - ox, y0 - oy);
      corner(x1 + ox, y1 + oy);
      corner(x0 + ox, y0 + oy);
    }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(places), 3));
  return new Mesh(
    geometry,
    new MeshBasicMaterial({
      color: colour,
      side: DoubleSide,
      transparent: true,
      opacity: 0.8,
      depthWrite: false,
    }),
  );
}
