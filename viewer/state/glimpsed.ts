import { isSameFrame } from '../../src/grid.ts';
import type { Glimpse, Scene } from '../worker/messages.ts';

/** A coarse scene as it looks with a glimpse of other settings; null where the job lies otherwise by now. */
export function withGlimpse(scene: Scene, { surface, depth, isCut }: Glimpse): Scene | null {
  const { layers, pieces } = scene;
  if (layers.depth.length !== depth.length || !isSameFrame(scene.surface.frame, surface.frame)) return null;
  // What comes free stays as it was.
  if (pieces.marks) for (let k = 3; k < depth.length; k += 4) depth[k] = layers.depth[k]!;
  return { ...scene, surface, layers: { ...layers, depth, isCut } };
}
