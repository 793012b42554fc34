import {
  BoxGeometry,
  type DataTexture,
  Group,
  Mesh,
  MeshLambertMaterial,
  PlaneGeometry,
  type Texture,
  Vector2,
  Vector3,
} from 'three';
import type { Bounds } from '../../src/grid.ts';
import type { View } from '../state/store.ts';
import { DOSE_OCTAVES, doseCode } from '../worker/dose-code.ts';
import type { Scene } from '../worker/messages.ts';
import { mapRow, woodRow } from './maps.ts';
import { grainTexture, marksTexture, rowTexture, spanTexture, surfaceTexture } from './textures.ts';
import { COLOUR, GLOW, HEAD, NORMAL } from './wood-shader.ts';

const VIEW_NUMBERS: Record<View, number> = { burn: 0, dose: 1, speed: 2, power: 3, depth: 4, arrival: 5 };
/** The dose view's scale begins here, J/mm²: fainter than the first mark of the palest wood. */
const DOSE_FROM_J_PER_MM2 = 0.05;

/** The piece of wood: its body, and a top whose look at any time comes from textures. */
export class Board {
  readonly group = new Group();
  readonly top: Mesh<PlaneGeometry, MeshLambertMaterial>;
  readonly #body: Mesh<BoxGeometry, MeshLambertMaterial[]>;
  readonly #anisotropy: number;
  #grainKey = '';
  #views = new Map<View, DataTexture>();
  readonly uniforms = {
    uSurface: { value: null as Texture | null },
    uSpan: { value: null as Texture | null },
    uMarks: { value: null as Texture | null },
    uGrain: { value: null as Texture | null },
    uWood: { value: null as Texture | null },
    uMap: { value: null as Texture | null },
    uPicture: { value: null as Texture | null },
    uShift: { value: new Vector2(0, 0) },
    uSurfaceScale: { value: new Vector2(1, 1) },
    uArrivalScale: { value: new Vector2(1, 1) },
    uTexel: { value: new Vector2(1, 1) },
    uRange: { value: new Vector2(0, 1) },
    uClip: { value: new Vector2(-1e9, 1e9) },
    uHead: { value: new Vector3(0, 0, 0) },
    uThickness: { value: 0 },
    uTime: { value: 0 },
    uDuration: { value: 0 },
    uGlow: { value: 0 },
    uOctaves: { value: DOSE_OCTAVES },
    uMmPerTexel: { value: 1 },
    uDeepest: { value: 1 },
    uWash: { value: 0.55 },
    uView: { value: 0 },
  };

  constructor(anisotropy: number, edge: number) {
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
    const side = new MeshLambertMaterial({ color: edge });
    const under = new MeshLambertMaterial({ color: edge });
    this.#body = new Mesh(new BoxGeometry(1, 1, 1), [side, side, side, side, under, under]);
    this.#body.castShadow = true;
    this.#body.receiveShadow = true;
    this.group.add(this.#body, this.top);
  }

  setEdge(colour: number): void {
    for (const material of this.#body.material) material.color.set(colour);
  }

  /** Shows another forecast. */
  show(scene: Scene): void {
    const { forecast, surface, arrival } = scene;
    const { board } = forecast;
    const { uniforms } = this;
    this.#replace('uSurface', surfaceTexture(surface, this.#anisotropy));
    this.#replace('uSpan', spanTexture(arrival));
    this.#replace('uMarks', marksTexture(arrival));
    this.#replace('uWood', rowTexture(woodRow(forecast.material)));
    const key = [board.minXMm, board.minYMm, board.maxXMm, board.maxYMm].join();
    if (key !== this.#grainKey) {
      this.#replace('uGrain', grainTexture(board, this.#anisotropy));
      this.#grainKey = key;
    }
    const widthMm = board.maxXMm - board.minXMm;
    const heightMm = board.maxYMm - board.minYMm;
    const { nx, ny, cellMm } = surface.frame;
    uniforms.uSurfaceScale.value.set(widthMm / (nx * cellMm), heightMm / (ny * cellMm));
    const { frame } = arrival;
    uniforms.uArrivalScale.value.set(
      widthMm / (frame.nx * frame.cellMm),
      heightMm / (frame.ny * frame.cellMm),
    );
    uniforms.uTexel.value.set(1 / nx, 1 / ny);
    uniforms.uMmPerTexel.value = cellMm;
    uniforms.uDeepest.value = surface.deepestMm;
    uniforms.uThickness.value = forecast.stock?.thicknessMm ? 1 : 0;
    uniforms.uShift.value.set(0, 0);
    uniforms.uDuration.value = forecast.motion.durationS;
    this.#place(board, forecast.stock?.thicknessMm ?? 3);
  }

  #place(board: Bounds, thicknessMm: number): void {
    const widthMm = board.maxXMm - board.minXMm;
    const heightMm = board.maxYMm - board.minYMm;
    const x = (board.minXMm + board.maxXMm) / 2;
    const y = (board.minYMm + board.maxYMm) / 2;
    this.top.position.set(x, y, 0);
    this.top.scale.set(widthMm, heightMm, 1);
    this.#body.position.set(x, y, -thicknessMm / 2 - 0.02);
    this.#body.scale.set(widthMm, heightMm, thicknessMm - 0.02);
  }

  setView(view: View, scene: Scene): void {
    const { uniforms } = this;
    uniforms.uView.value = VIEW_NUMBERS[view];
    if (view === 'burn') return;
    const row = this.#views.get(view) ?? rowTexture(mapRow(view));
    this.#views.set(view, row);
    uniforms.uMap.value = row;
    const [from, to] = rangeOf(view, scene);
    if (view === 'dose') uniforms.uRange.value.set(doseCode(from), doseCode(to));
    else uniforms.uRange.value.set(doseCode(DOSE_FROM_J_PER_MM2), to);
  }

  /** Shows a map of the board instead (the difference of two burns). */
  showPicture(picture: Texture): void {
    this.#replace('uPicture', picture);
    this.uniforms.uView.value = 6;
  }

  #replace(name: 'uSurface' | 'uSpan' | 'uMarks' | 'uWood' | 'uGrain' | 'uPicture', next: Texture): void {
    this.uniforms[name].value?.dispose();
    this.uniforms[name].value = next;
  }
}

/** From and to of a view's scale, in its own unit. */
export function rangeOf(view: Exclude<View, 'burn'>, scene: Scene): readonly [number, number] {
  switch (view) {
    case 'dose':
      return [DOSE_FROM_J_PER_MM2, Math.max(0.2, scene.surface.topDoseJPerMm2)];
    case 'speed':
      return [0, scene.arrival.topSpeedMmPerS];
    case 'power':
      return [0, scene.arrival.topPowerW];
    case 'depth':
      return [0, scene.surface.deepestMm];
    case 'arrival':
      return [0, Math.max(1e-3, scene.forecast.motion.durationS)];
  }
}
