import {
  BoxGeometry,
  Color,
  type DataTexture,
  Group,
  Mesh,
  MeshLambertMaterial,
  PlaneGeometry,
  SRGBColorSpace,
  type Texture,
  Vector2,
  Vector3,
  Vector4,
} from 'three';
import type { Bounds } from '../../src/grid.ts';
import { greatestOf } from '../../src/lists.ts';
import type { View } from '../state/store.ts';
import { DOSE_OCTAVES, doseCode } from '../worker/dose-code.ts';
import type { Scene } from '../worker/messages.ts';
import type { Copies } from './copies.ts';
import { mapRow, woodRow } from './maps.ts';
import {
  grainTexture,
  layerTexture,
  rowTexture,
  spanTexture,
  surfaceTexture,
  visitsTexture,
} from './textures.ts';
import { COLOUR, GLOW, HEAD, NORMAL } from './wood-shader.ts';

const VIEW_NUMBERS: Record<View, number> = { burn: 0, dose: 1, speed: 2, power: 3, depth: 4, arrival: 5 };
/** The dose view's scale begins here, J/mm²: fainter than the first mark of the palest wood. */
const DOSE_FROM_J_PER_MM2 = 0.05;

/** The shader reads the burn at several places a pixel already; a tilted one needs little more. */
const TILTED = 2;

const EDGE = 0.8;

/** The piece of wood: its body, and a top whose look at any time comes from textures. */
export class Board {
  readonly group = new Group();
  readonly top: Mesh<PlaneGeometry, MeshLambertMaterial>;
  readonly #body: Mesh<BoxGeometry, MeshLambertMaterial[]>;
  readonly #anisotropy: number;
  readonly #copies: Copies;
  #grainKey = '';
  #views = new Map<View, DataTexture>();
  readonly uniforms = {
    uSurface: { value: null as Texture | null },
    uVisit: { value: null as Texture | null },
    uDepth: { value: null as Texture | null },
    uSpan: { value: null as Texture | null },
    uVisits: { value: null as Texture | null },
    uGrain: { value: null as Texture | null },
    uWood: { value: null as Texture | null },
    uMap: { value: null as Texture | null },
    uPicture: { value: null as Texture | null },
    uShift: { value: new Vector2(0, 0) },
    uSurfaceFrom: { value: new Vector2(0, 0) },
    uSurfaceSize: { value: new Vector2(1, 1) },
    uArrivalFrom: { value: new Vector2(0, 0) },
    uArrivalSize: { value: new Vector2(1, 1) },
    uArrivalTexels: { value: new Vector2(1, 1) },
    uOwn: { value: new Vector4(0, 0, 1, 1) },
    uBed: { value: new Color(0, 0, 0) },
    uTexel: { value: new Vector2(1, 1) },
    uRange: { value: new Vector2(0, 1) },
    uClip: { value: new Vector2(-1e9, 1e9) },
    uHead: { value: new Vector3(0, 0, 0) },
    uThickness: { value: 0 },
    uTime: { value: 0 },
    uDuration: { value: 0 },
    uGlow: { value: 0 },
    uBeam: { value: 0 },
    uOctaves: { value: DOSE_OCTAVES },
    uMmPerTexel: { value: 1 },
    uDeepest: { value: 1 },
    uPart: { value: 1 },
    uWash: { value: 0.55 },
    uView: { value: 0 },
  };

  constructor(anisotropy: number, copies: Copies) {
    this.#copies = copies;
    this.#anisotropy = anisotropy;
    const material = new MeshLambertMaterial({ color: 0xffffff });
    material.onBeforeCompile = (shader) => {
      Object.assign(shader.uniforms, this.uniforms);
      shader.vertexShader = shader.vertexShader
        .replace('#include <common>', '#include <common>\nvarying vec2 vBoard;\nvarying vec2 vPlace;')
        .replace(
          '#include <begin_vertex>',
          '#include <begin_vertex>\nvBoard = uv;\nvPlace = (modelMatrix * vec4(position, 1.0)).xy;',
        );
      shader.fragmentShader = shader.fragmentShader
        .replace('#include <common>', `#include <common>\n${HEAD}`)
        .replace('#include <map_fragment>', COLOUR)
        .replace('#include <normal_fragment_maps>', NORMAL)
        .replace('#include <emissivemap_fragment>', GLOW);
    };
    this.top = new Mesh(new PlaneGeometry(1, 1), material);
    this.top.receiveShadow = true;
    this.top.castShadow = true;
    // No face under the top: so close beneath it, it would shine through from afar.
    const side = new MeshLambertMaterial();
    const none = new MeshLambertMaterial({ visible: false });
    this.#body = new Mesh(new BoxGeometry(1, 1, 1), [side, side, side, side, none, side]);
    this.#body.castShadow = true;
    this.#body.receiveShadow = true;
    this.group.add(this.#body, this.top);
  }

  /**
   * Shows another forecast.
   * @param whole the piece of wood; its own board may be a part of it, where two of different size are compared.
   */
  show(scene: Scene, whole: Bounds): void {
    const { forecast, surface, arrival, layers, reveals } = scene;
    const { board } = forecast;
    const { uniforms } = this;
    this.#replace('uSurface', surfaceTexture(surface, TILTED));
    this.#replace('uVisit', layerTexture(arrival, layers.visit, TILTED));
    this.#replace('uDepth', layerTexture(arrival, layers.depth, TILTED));
    this.#replace('uSpan', spanTexture(reveals));
    this.#replace('uVisits', visitsTexture(reveals));
    for (const name of ['uSurface', 'uVisit', 'uDepth'] as const)
      this.#copies.make(uniforms[name].value as DataTexture);
    const row = woodRow(forecast.material);
    this.#replace('uWood', rowTexture(row));
    // Cut edges are end grain: the bare wood's own colour, a little deeper.
    const [red, green, blue] = row;
    for (const { color } of this.#body.material)
      color.setRGB(red! / 255, green! / 255, blue! / 255, SRGBColorSpace).multiplyScalar(EDGE);
    const { nx, ny, cellMm, x0Mm, y0Mm } = surface.frame;
    uniforms.uSurfaceFrom.value.set(x0Mm, y0Mm);
    uniforms.uSurfaceSize.value.set(nx * cellMm, ny * cellMm);
    const { frame } = arrival;
    uniforms.uArrivalFrom.value.set(frame.x0Mm, frame.y0Mm);
    uniforms.uArrivalSize.value.set(frame.nx * frame.cellMm, frame.ny * frame.cellMm);
    uniforms.uArrivalTexels.value.set(frame.nx, frame.ny);
    uniforms.uOwn.value.set(board.minXMm, board.minYMm, board.maxXMm, board.maxYMm);
    uniforms.uTexel.value.set(1 / nx, 1 / ny);
    uniforms.uMmPerTexel.value = cellMm;
    uniforms.uDeepest.value = surface.deepestMm;
    uniforms.uThickness.value = forecast.burn.through ? (forecast.stock?.thicknessMm ?? 0) : 0;
    uniforms.uShift.value.set(0, 0);
    uniforms.uDuration.value = forecast.motion.durationS;
    this.layOn(whole, forecast.stock?.thicknessMm ?? 3);
  }

  /** Makes the wood as large as this. */
  layOn(whole: Bounds, thicknessMm: number): void {
    const key = [whole.minXMm, whole.minYMm, whole.maxXMm, whole.maxYMm].join();
    if (key !== this.#grainKey) {
      this.#replace('uGrain', grainTexture(whole, this.#anisotropy));
      this.#grainKey = key;
    }
    const widthMm = whole.maxXMm - whole.minXMm;
    const heightMm = whole.maxYMm - whole.minYMm;
    const x = (whole.minXMm + whole.maxXMm) / 2;
    const y = (whole.minYMm + whole.maxYMm) / 2;
    this.top.position.set(x, y, 0);
    this.top.scale.set(widthMm, heightMm, 1);
    this.#body.position.set(x, y, -thicknessMm / 2 - 0.02);
    this.#body.scale.set(widthMm, heightMm, thicknessMm - 0.02);
  }

  /** @param scenes all whose burns are shown together: one scale fits them all. */
  setView(view: View, scene: Scene, scenes: readonly Scene[]): void {
    const { uniforms } = this;
    uniforms.uView.value = VIEW_NUMBERS[view];
    if (view === 'burn') return;
    const row = this.#views.get(view) ?? rowTexture(mapRow(view));
    this.#views.set(view, row);
    uniforms.uMap.value = row;
    const [from, to] = rangeOf(view, scenes);
    uniforms.uPart.value = rangeOf(view, [scene])[1] / to;
    if (view === 'dose') uniforms.uRange.value.set(doseCode(from), doseCode(to));
    else uniforms.uRange.value.set(doseCode(DOSE_FROM_J_PER_MM2), to);
  }

  /** Shows a map of the board instead (the difference of two burns). */
  showPicture(picture: Texture): void {
    this.#replace('uPicture', picture);
    this.uniforms.uView.value = 6;
  }

  #replace(
    name: 'uSurface' | 'uVisit' | 'uDepth' | 'uSpan' | 'uVisits' | 'uWood' | 'uGrain' | 'uPicture',
    next: Texture,
  ): void {
    this.uniforms[name].value?.dispose();
    this.uniforms[name].value = next;
  }
}

/** From and to of a view's scale, in its own unit; over all burns that are shown together. */
export function rangeOf(view: Exclude<View, 'burn'>, scenes: readonly Scene[]): readonly [number, number] {
  const most = (of: (scene: Scene) => number) => greatestOf(scenes.map(of));
  switch (view) {
    case 'dose':
      return [
        DOSE_FROM_J_PER_MM2,
        Math.max(
          0.2,
          most(({ surface }) => surface.topDoseJPerMm2),
        ),
      ];
    case 'speed':
      return [0, most(({ arrival }) => arrival.topSpeedMmPerS)];
    case 'power':
      return [0, most(({ arrival }) => arrival.topPowerW)];
    case 'depth':
      return [0, most(({ surface }) => surface.deepestMm)];
    case 'arrival':
      return [0, most(({ forecast }) => Math.max(1e-3, forecast.motion.durationS))];
  }
}

/** The value at a part (0…1) of a view's scale: doses by ratio, depths by their root, all else evenly. */
export function valueOnScale(
  view: Exclude<View, 'burn'>,
  [from, to]: readonly [number, number],
  part: number,
): number {
  if (view === 'dose') return from * (to / from) ** part;
  if (view === 'depth') return to * part * part;
  return from + (to - from) * part;
}
