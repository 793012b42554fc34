import {
  BufferAttribute,
  BufferGeometry,
  type DataTexture,
  DoubleSide,
  Group,
  Matrix3,
  Mesh,
  PlaneGeometry,
  ShaderMaterial,
  type Texture,
  Vector2,
  Vector3,
  Vector4,
} from 'three';
import {
  type Bounds,
  type GridFrame,
  grownBounds,
  holdsPoint,
  middleOf,
  nearestCell,
} from '../../src/grid.ts';
import { greatestOf, leastOf } from '../../src/lists.ts';
import type { BoardFace } from '../../src/own-board/own-board.ts';
import type { Polygon } from '../../src/polygon.ts';
import type { View } from '../state/store.ts';
import { DOSE_OCTAVES, doseCode } from '../worker/dose-code.ts';
import type { Scene } from '../worker/messages.ts';
import { isFreeBy, markOf, type TimedPart } from '../worker/pieces.ts';
import { cellMapOf, isByCells, topOf } from './cell-maps.ts';
import type { Copies } from './copies.ts';
import { mapRow, woodRow } from './maps.ts';
import { plyMm } from './plies.ts';
import { type Gaze, netOver, reliefOf } from './relief.ts';
import {
  cellTexture,
  faceTexture,
  fallTexture,
  grainTexture,
  layerTexture,
  markTexture,
  rowTexture,
  spanTexture,
  surfaceTexture,
  visitsTexture,
} from './textures.ts';
import { wallsOf } from './walls.ts';
import {
  BACK_FRAGMENT,
  BACK_VERTEX,
  definesOf,
  FRAGMENT,
  type Look,
  SIDE_FRAGMENT,
  SIDE_VERTEX,
  VERTEX,
  WALL_FRAGMENT,
  WALL_VERTEX,
} from './wood-shader.ts';

const VIEW_NUMBERS: Record<View, number> = {
  burn: 0,
  dose: 1,
  speed: 2,
  power: 3,
  depth: 4,
  arrival: 5,
  sure: 7,
  warmth: 7,
};
/** These read what is known of each place's last visit. */
const READS_VISITS: readonly number[] = [VIEW_NUMBERS.speed, VIEW_NUMBERS.power, VIEW_NUMBERS.arrival];
/** Textures that stay where another forecast has the same data for them. */
type Laid = 'uSurface' | 'uVisit' | 'uDepth' | 'uSpan' | 'uVisits' | 'uPiece';
const NO_MARKS = new Uint8Array(1);
/** The view that shows a picture handed in. */
const PICTURE = 6;
/** The dose view's scale begins here, J/mm²: fainter than the first mark of the palest wood. */
const DOSE_FROM_J_PER_MM2 = 0.05;

/** The shader reads the burn at several places a pixel already; a tilted one needs little more. */
const TILTED = 2;

/** What is cut free falls so far, down to the bed, mm. */
export const DROP_MM = 2.5;

/** The net's threads along each axis: at rest, while things move on a slow card, and for a part that is lifted out. */
const MOST_THREADS = { fine: 300, rough: 80, part: 300 } as const;

/** The piece of wood: its top as a net of the forecast's depths, its sides, and a part of it that is lifted out. */
export class Board {
  readonly group = new Group();
  readonly top: Mesh<BufferGeometry, ShaderMaterial>;
  /** The same net again, lower: what has come free. */
  readonly #loose: Mesh<BufferGeometry, ShaderMaterial>;
  readonly #walls: Mesh<BufferGeometry, ShaderMaterial>;
  readonly #sides: Mesh<BufferGeometry, ShaderMaterial>;
  /** A part lifted out: its top, and the underside that shows when it is turned. */
  readonly #lifted = new Group();
  readonly #liftedTop: Mesh<BufferGeometry, ShaderMaterial>;
  readonly #liftedBack: Mesh<PlaneGeometry, ShaderMaterial>;
  readonly #liftedWalls: Mesh<BufferGeometry, ShaderMaterial>;
  readonly #anisotropy: number;
  readonly #copies: Copies;
  #look: Look = {
    view: 0,
    isRough: false,
    isUnderWay: false,
    isCut: false,
    hasPieces: false,
    hasFace: false,
  };
  readonly #woods = new Map<string, ShaderMaterial>();
  readonly #held: ShaderMaterial['uniforms'];
  /** The net at rest, and while things move on a slow card; each with what it was woven for, '' for nothing. */
  readonly #nets = {
    fine: { geometry: new BufferGeometry(), key: '' },
    rough: { geometry: new BufferGeometry(), key: '' },
  };
  #scene: Scene | null = null;
  #thicknessMm = ASSUMED_THICK_MM;
  /** Before anything has come free nothing lies lower, and no wall is seen: they would shine through the wood's finest gaps. */
  #firstFreeS = Infinity;
  #whole: Bounds | null = null;
  #face: BoardFace | null = null;
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
    uFace: { value: null as Texture | null },
    uCells: { value: null as Texture | null },
    uCellsFrom: { value: new Vector2(0, 0) },
    uCellsSize: { value: new Vector2(1, 1) },
    uFaceFrom: { value: new Vector2(0, 0) },
    uFaceSize: { value: new Vector2(1, 1) },
    uShift: { value: new Vector2(0, 0) },
    uSurfaceFrom: { value: new Vector2(0, 0) },
    uSurfaceSize: { value: new Vector2(1, 1) },
    uArrivalFrom: { value: new Vector2(0, 0) },
    uArrivalSize: { value: new Vector2(1, 1) },
    uArrivalTexels: { value: new Vector2(1, 1) },
    uOwn: { value: new Vector4(0, 0, 1, 1) },
    uPiece: { value: null as Texture | null },
    uFall: { value: null as Texture | null },
    uWholeFrom: { value: new Vector2(0, 0) },
    uWholeSize: { value: new Vector2(1, 1) },
    uLevel: { value: 1 },
    uDrop: { value: DROP_MM },
    uPly: { value: 1 },
    uLifted: { value: 0 },
    uOnly: { value: 0 },
    uTurn: { value: new Matrix3() },
    uBeamLight: { value: 0 },
    uTexel: { value: new Vector2(1, 1) },
    uRange: { value: new Vector2(0, 1) },
    uClip: { value: new Vector2(-1e9, 1e9) },
    uHead: { value: new Vector3(0, 0, 0) },
    uTime: { value: 0 },
    uDuration: { value: 0 },
    uGlow: { value: 0 },
    uBeam: { value: 0 },
    uOctaves: { value: DOSE_OCTAVES },
    uMmPerTexel: { value: 1 },
    uDeepest: { value: 1 },
    uPart: { value: 1 },
    uWash: { value: 0.55 },
    uIsRough: { value: 0 },
  };

  constructor(anisotropy: number, copies: Copies) {
    this.#copies = copies;
    this.#anisotropy = anisotropy;
    const { uniforms } = this;
    this.#held = { ...uniforms, uOnly: { value: 0 }, uTurn: { value: new Matrix3() } };
    const wall = (of: ShaderMaterial['uniforms'], pass: number) =>
      new ShaderMaterial({
        uniforms: of,
        defines: { PASS: pass },
        vertexShader: WALL_VERTEX,
        fragmentShader: WALL_FRAGMENT,
        side: DoubleSide,
      });
    this.top = new Mesh(new BufferGeometry(), this.#wood(0));
    this.#loose = new Mesh(new BufferGeometry(), this.#wood(1));
    this.#walls = new Mesh(new BufferGeometry(), wall(uniforms, 0));
    this.#sides = new Mesh(
      new BufferGeometry(),
      new ShaderMaterial({ uniforms, vertexShader: SIDE_VERTEX, fragmentShader: SIDE_FRAGMENT }),
    );
    this.#liftedTop = new Mesh(new BufferGeometry(), this.#wood(2));
    this.#liftedBack = new Mesh(
      new PlaneGeometry(1, 1),
      new ShaderMaterial({
        uniforms: this.#held,
        defines: { PASS: 2 },
        vertexShader: BACK_VERTEX,
        fragmentShader: BACK_FRAGMENT,
      }),
    );
    this.#liftedWalls = new Mesh(new BufferGeometry(), wall(this.#held, 2));
    this.#lifted.add(this.#liftedTop, this.#liftedBack, this.#liftedWalls);
    this.#lifted.visible = false;
    this.group.add(this.#sides, this.top, this.#loose, this.#walls, this.#lifted);
    this.group.traverse((each) => {
      each.frustumCulled = false;
    });
  }

  /** The wood's material for the present look, made when first asked for. */
  #wood(pass: number): ShaderMaterial {
    const defines = definesOf(this.#look, pass);
    const key = Object.values(defines).join();
    let made = this.#woods.get(key);
    if (!made) {
      made = new ShaderMaterial({
        uniforms: pass === 2 ? this.#held : this.uniforms,
        defines,
        vertexShader: VERTEX,
        fragmentShader: FRAGMENT,
        alphaToCoverage: this.#look.hasPieces,
      });
      this.#woods.set(key, made);
    }
    return made;
  }

  #setLook(change: Partial<Look>): void {
    this.#look = { ...this.#look, ...change };
    this.uniforms.uIsRough.value = Number(this.#look.isRough);
    this.top.material = this.#wood(0);
    if (!this.#look.hasPieces) return;
    this.#loose.material = this.#wood(1);
    this.#liftedTop.material = this.#wood(2);
  }

  /**
   * Shows another forecast.
   * @param whole the piece of wood; its own board may be a part of it, where two of different size are compared.
   */
  show(scene: Scene, whole: Bounds): void {
    const { forecast, surface, arrival, layers, reveals, pieces } = scene;
    this.#scene = scene;
    this.#nets.fine.key = this.#nets.rough.key = '';
    const { board } = forecast;
    const { uniforms } = this;
    this.#lay('uSurface', surface.rgba, () => surfaceTexture(surface, TILTED));
    this.#lay('uVisit', layers.visit, () => layerTexture(arrival, layers.visit, TILTED));
    this.#lay('uDepth', layers.depth, () => layerTexture(arrival, layers.depth, TILTED));
    this.#lay('uSpan', reveals[0]!.spanS, () => spanTexture(reveals));
    this.#lay('uVisits', reveals[0]!.visits, () => visitsTexture(reveals));
    this.#lay('uPiece', pieces.marks ?? NO_MARKS, () => markTexture(arrival, pieces.marks));
    this.#replace('uFall', fallTexture(pieces.free));
    this.#replace('uWood', rowTexture(woodRow(forecast.material)));
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
    const thicknessMm = forecast.stock?.thicknessMm ?? ASSUMED_THICK_MM;
    this.#thicknessMm = thicknessMm;
    this.#setLook({
      isCut: layers.isCut,
      hasPieces: pieces.marks !== null,
    });
    this.#standWalls(arrival.frame, pieces.marks, thicknessMm);
    uniforms.uPly.value = plyMm(forecast.material.name, thicknessMm);
    uniforms.uShift.value.set(0, 0);
    uniforms.uDuration.value = forecast.motion.durationS;
    this.#firstFreeS = pieces.marks
      ? Math.min(forecast.motion.durationS, leastOf(pieces.free.map(({ freeS }) => freeS)))
      : Infinity;
    this.#showFree();
    this.#layOn(whole, thicknessMm);
    this.#copyWhatIsSeen();
  }

  #showFree(): void {
    this.#loose.visible = this.#walls.visible = this.uniforms.uTime.value >= this.#firstFreeS;
  }

  /** Between the pieces, which stay the same ones while a number is being dragged. */
  #standWalls(frame: GridFrame, marks: Uint8Array | null, thicknessMm: number): void {
    const key = [thicknessMm, frame.x0Mm, frame.y0Mm, frame.cellMm].join();
    if (marks?.buffer === this.#wallsOf.marks && key === this.#wallsOf.key) return;
    this.#wallsOf = { marks: marks?.buffer, key };
    this.#walls.geometry.dispose();
    this.#walls.geometry = marks ? wallsOf(frame, marks, thicknessMm) : new BufferGeometry();
    this.#liftedWalls.geometry = this.#walls.geometry;
  }
  #wallsOf: { readonly marks: ArrayBufferLike | undefined; readonly key: string } = {
    marks: undefined,
    key: '',
  };

  /** Lays a texture of this data on the wood, unless it lies there. */
  #lay(name: Laid, { buffer }: Uint8Array | Float32Array, make: () => DataTexture): void {
    if (this.#laid.get(name) === buffer) return;
    this.#laid.set(name, buffer);
    this.#replace(name, make());
  }
  readonly #laid = new Map<Laid, ArrayBufferLike>();

  /** Makes the smaller copies of those textures that the present look reads. */
  #copyWhatIsSeen(): void {
    const { view, isCut, hasPieces } = this.#look;
    const seen = {
      uSurface: true,
      uDepth: isCut || hasPieces || view === VIEW_NUMBERS.depth,
      uVisit: READS_VISITS.includes(view),
    };
    for (const name of ['uSurface', 'uDepth', 'uVisit'] as const) {
      const texture = this.uniforms[name].value as DataTexture | null;
      if (seen[name] && texture) this.#copies.make(texture);
    }
  }

  /** Makes the wood as large as this. */
  #layOn(whole: Bounds, thicknessMm: number): void {
    const key = [whole.minXMm, whole.minYMm, whole.maxXMm, whole.maxYMm].join();
    if (key !== this.#grainKey) {
      this.#replace('uGrain', grainTexture(whole, this.#anisotropy));
      this.#grainKey = key;
    }
    this.#whole = whole;
    this.uniforms.uWholeFrom.value.set(whole.minXMm, whole.minYMm);
    this.uniforms.uWholeSize.value.set(whole.maxXMm - whole.minXMm, whole.maxYMm - whole.minYMm);
    this.#standSides(thicknessMm);
  }

  /** Shows the wood as on a photo; null: as drawn. */
  setFace(face: BoardFace | null): void {
    const { uniforms } = this;
    this.#face = face;
    if (face) {
      this.#replace('uFace', faceTexture(face, this.#anisotropy));
      uniforms.uFaceFrom.value.set(face.x0Mm, face.y0Mm);
      uniforms.uFaceSize.value.set(face.nx * face.stepMm, face.ny * face.stepMm);
    }
    this.#setLook({ hasFace: face !== null });
    this.#standSides(this.#thicknessMm);
  }

  #standSides(thicknessMm: number): void {
    if (!this.#whole) return;
    const { minXMm, minYMm, maxXMm, maxYMm } = this.#whole;
    this.#sides.geometry.dispose();
    this.#sides.geometry = sidesOf(
      this.#face?.outline ?? [
        [minXMm, minYMm],
        [maxXMm, minYMm],
        [maxXMm, maxYMm],
        [minXMm, maxYMm],
      ],
      thicknessMm,
    );
  }

  /**
   * Weaves the net anew where another place is looked at, or from another distance.
   * @param isRough the coarse one will do.
   */
  lookAt(gaze: Gaze, isRough: boolean): void {
    if (!this.#scene || !this.#whole) return;
    const { surface } = this.#scene;
    const round = (mm: number, to: number) => Math.round(mm / to);
    const [near, far] = gaze.withinMm;
    // A net does for what is nearly the same view.
    const key = [
      round(gaze.atMm[0], near / 4),
      round(gaze.atMm[1], far / 4),
      Math.round(3 * Math.log2(gaze.finestMm)),
      Math.round(3 * Math.log2(near)),
    ].join();
    const net = isRough ? this.#nets.rough : this.#nets.fine;
    if (net.key === '' || (key !== net.key && (!isRough || isOtherScale(key, net.key)))) {
      net.geometry.dispose();
      const most = isRough ? MOST_THREADS.rough : MOST_THREADS.fine;
      net.geometry = reliefOf(netOver(this.#whole, surface, gaze, most), surface, !isRough);
      net.key = key;
    }
    this.top.geometry = net.geometry;
    this.#loose.geometry = this.top.geometry;
    if (isRough !== this.#look.isRough) this.#setLook({ isRough });
  }

  /** The part that has come free at a place by now; null: the board, or what hangs on it. */
  partAt(xMm: number, yMm: number): TimedPart | null {
    if (!this.#scene) return null;
    const { pieces, arrival } = this.#scene;
    const mark = pieces.marks?.[nearestCell(arrival.frame, xMm, yMm)] ?? 0;
    if (mark === 0) return null;
    const isIn = ({ bounds }: TimedPart) => holdsPoint(bounds, xMm, yMm, 1);
    const { uTime, uDuration } = this.uniforms;
    const isFree = (part: TimedPart) => isFreeBy(part, uTime.value, uDuration.value);
    return pieces.free.find((part) => markOf(part) === mark && isIn(part) && isFree(part)) ?? null;
  }

  /** Shows the moment tS. */
  setTime(tS: number): void {
    this.uniforms.uTime.value = tS;
    this.#showFree();
    const isUnderWay = tS < this.uniforms.uDuration.value;
    if (isUnderWay !== this.#look.isUnderWay) this.#setLook({ isUnderWay });
  }

  /** Takes a part out of the board, or puts it back (null). */
  lift(part: TimedPart | null): void {
    this.#lifted.visible = part !== null;
    this.uniforms.uLifted.value = part ? markOf(part) : 0;
    if (!part || !this.#scene) return;
    const { surface } = this.#scene;
    const { bounds } = part;
    const around = grownBounds(bounds, 0.4);
    const [x, y] = middleOf(bounds);
    const gaze = { atMm: [x, y] as const, withinMm: [1e6, 1e6] as const, finestMm: 0 };
    this.#liftedTop.geometry.dispose();
    this.#liftedTop.geometry = reliefOf(netOver(around, surface, gaze, MOST_THREADS.part), surface);
    this.#held.uOnly!.value = markOf(part);
    this.#liftedBack.geometry.dispose();
    const width = around.maxXMm - around.minXMm;
    const height = around.maxYMm - around.minYMm;
    this.#liftedBack.geometry = new PlaneGeometry(width, height)
      .rotateX(Math.PI)
      .translate(x, y, -this.#thicknessMm);
  }

  /**
   * Holds the lifted part so.
   * @param upMm above its place; @param turnRad about x, through its middle.
   */
  hold(part: TimedPart, upMm: number, turnRad: number): void {
    const [, y] = middleOf(part.bounds);
    const middle = -this.#thicknessMm / 2;
    const c = Math.cos(turnRad);
    const s = Math.sin(turnRad);
    this.#lifted.rotation.set(turnRad, 0, 0);
    this.#lifted.position.set(0, y - (y * c - middle * s), middle + upMm - (y * s + middle * c));
    (this.#held.uTurn!.value as Matrix3).set(1, 0, 0, 0, c, -s, 0, s, c);
  }

  /** @param scenes all whose burns are shown together: one scale fits them all. */
  setView(view: View, scene: Scene, scenes: readonly Scene[]): void {
    const { uniforms } = this;
    this.#setLook({ view: VIEW_NUMBERS[view] });
    this.#copyWhatIsSeen();
    if (view === 'burn') return;
    const [from, to] = rangeOf(view, scenes);
    const row = this.#views.get(view) ?? rowTexture(mapRow(view));
    this.#views.set(view, row);
    uniforms.uMap.value = row;
    uniforms.uPart.value = rangeOf(view, [scene])[1] / to;
    if (isByCells(view)) {
      const { nx, ny, cellMm, x0Mm, y0Mm, rg } = cellMapOf(view, scene);
      this.#replace('uCells', cellTexture(nx, ny, rg));
      uniforms.uCellsFrom.value.set(x0Mm, y0Mm);
      uniforms.uCellsSize.value.set(nx * cellMm, ny * cellMm);
    }
    if (view === 'dose') uniforms.uRange.value.set(doseCode(from), doseCode(to));
    else uniforms.uRange.value.set(doseCode(DOSE_FROM_J_PER_MM2), to);
  }

  /** Shows a map of the board instead (the difference of two burns). */
  showPicture(picture: Texture): void {
    this.#replace('uPicture', picture);
    this.#setLook({ view: PICTURE });
  }

  #replace(
    name:
      | 'uSurface'
      | 'uVisit'
      | 'uDepth'
      | 'uSpan'
      | 'uVisits'
      | 'uWood'
      | 'uGrain'
      | 'uPicture'
      | 'uFace'
      | 'uPiece'
      | 'uFall'
      | 'uCells',
    next: Texture,
  ): void {
    this.uniforms[name].value?.dispose();
    this.uniforms[name].value = next;
  }
}

/** A board of which nothing is told is so thick, mm. */
export const ASSUMED_THICK_MM = 3;

/** Whether two nets are of another fineness, by their keys. */
const isOtherScale = (a: string, b: string): boolean =>
  Math.abs(Number(a.split(',')[2]) - Number(b.split(',')[2])) > 2;

/** The sides of a board, whose top lies at z 0. @param outline counter-clockwise. */
function sidesOf(outline: Polygon, thicknessMm: number): BufferGeometry {
  const sides = outline.map(([ax, ay], k) => {
    const [bx, by] = outline[(k + 1) % outline.length]!;
    const length = Math.hypot(bx - ax, by - ay) || 1;
    return { ax, ay, bx, by, nx: (by - ay) / length, ny: (ax - bx) / length };
  });
  const places = sides.flatMap(({ ax, ay, bx, by }) => [
    ...[ax, ay, 0, ax, ay, -thicknessMm],
    ...[bx, by, 0, bx, by, -thicknessMm],
  ]);
  const normals = sides.flatMap(({ nx, ny }) => [0, 1, 2, 3].flatMap(() => [nx, ny, 0]));
  const faces = sides.flatMap((_, n) => [0, 1, 3, 0, 3, 2].map((corner) => 4 * n + corner));
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(places), 3));
  geometry.setAttribute('normal', new BufferAttribute(Float32Array.from(normals), 3));
  geometry.setIndex(faces);
  return geometry;
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
    case 'sure':
    case 'warmth':
      return [0, most((scene) => topOf(view, scene))];
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
