import {
  Color,
  DirectionalLight,
  HemisphereLight,
  type LineSegments,
  type Mesh,
  NoToneMapping,
  PerspectiveCamera,
  Plane,
  Raycaster,
  type Texture,
  Vector2,
  Vector3,
  WebGLRenderer,
  Scene as World,
} from 'three';
import { type Bounds, holdsPoint, isEmptyBounds } from '../../src/grid.ts';
import type { BoardFace } from '../../src/own-board/own-board.ts';
import type { HeldOutline } from '../../src/parts/held.ts';
import type { View } from '../state/store.ts';
import { wholeBoard } from '../state/whole.ts';
import type { Moment } from '../time/moments.ts';
import type { Scene } from '../worker/messages.ts';
import type { TimedPart } from '../worker/pieces.ts';
import { dropBed, makeBed, paintBed, shadeBed } from './bed.ts';
import { ASSUMED_THICK_MM, Board, DROP_MM } from './board.ts';
import { Copies } from './copies.ts';
import { Eye } from './eye.ts';
import { Gantry } from './gantry.ts';
import { glance, type OnStage } from './glance.ts';
import { makeHeld } from './held-lines.ts';
import { Pacer } from './pacer.ts';
import { DARK, LIGHT, type Palette } from './palette.ts';
import { SUN } from './sun.ts';
import { Supports } from './supports.ts';
import { dropTravel, makeAstray, makeTravel } from './travel.ts';

/** The board stands this far above the bed, so that the beam can leave and what is cut free falls, mm. */
const RAISED_MM = DROP_MM;

/** Off every bed, mm. */
const NOWHERE: Bounds = { minXMm: -1e6, minYMm: -1e6, maxXMm: -1e6, maxYMm: -1e6 };

/** A part is lifted so far above the board, leans so towards the eye, and takes so long for it. */
const LIFT_MM = 14;
const SHOW_RAD = 0.3;
const LIFT_MS = 450;

/** Ember behind the head lasts so long, in s of the job at 1×. */
const GLOW_S = 0.12;

/**
 * The stage: bed, board and gantry, in mm of the job's own coordinates, z up, the wood's top at z 0. It draws
 * only when something has changed; whoever changes something calls its methods, and one frame follows.
 */
export class Stage {
  readonly canvas: HTMLCanvasElement;
  readonly eye: Eye;
  readonly #renderer: WebGLRenderer;
  readonly #pacer: Pacer;
  readonly #world = new World();
  readonly #camera = new PerspectiveCamera();
  readonly #sun = new DirectionalLight(0xfff8ee, 1);
  readonly #sky = new HemisphereLight(0xffffff, 0xd8c8b0, 1);
  readonly #boards: [Board, Board];
  /** A head for each burn shown, made when its job is first under way. */
  readonly #gantries: [Gantry | null, Gantry | null] = [null, null];
  readonly #supports = new Supports();
  readonly #anisotropy: number;
  readonly #caster = new Raycaster();
  #bed: Mesh | null = null;
  #bedKey = '';
  /** The room whose colours bed and gantries have. */
  #paintedIn: Palette | null = null;
  #bedWidthMm = 0;
  #travel: LineSegments | null = null;
  #astray: LineSegments | null = null;
  #palette: Palette = LIGHT;
  #scenes: [Scene | null, Scene | null] = [null, null];
  /** The piece of wood in view. */
  #whole: Bounds | null = null;
  /** What “the whole board” shows. */
  #framed: Bounds | null = null;
  #burnsNothing = false;
  /** Frames drawn so far: tests wait for it to move, and to stand still. */
  frames = 0;

  constructor(canvas: HTMLCanvasElement) {
    this.canvas = canvas;
    this.#renderer = new WebGLRenderer({ canvas, antialias: true, powerPreference: 'high-performance' });
    this.#renderer.toneMapping = NoToneMapping;
    this.#pacer = new Pacer(this.#renderer.getContext() as WebGL2RenderingContext, (fineness) =>
      this.#paint(fineness),
    );
    this.#anisotropy = Math.min(8, this.#renderer.capabilities.getMaxAnisotropy());
    this.#camera.up.set(0, 0, 1);
    const copies = new Copies(this.#renderer);
    this.#boards = [new Board(this.#anisotropy, copies), new Board(this.#anisotropy, copies)];
    this.#boards[1].group.visible = false;
    this.#sun.position.set(...SUN);
    this.#world.add(
      this.#sun,
      this.#sun.target,
      this.#sky,
      this.#boards[0].group,
      this.#boards[1].group,
      this.#supports.group,
    );
    this.eye = new Eye(this.#camera, canvas, () => this.draw());
    canvas.addEventListener('webglcontextrestored', () => {
      this.draw();
    });
  }

  /** Light or dark room. */
  setRoom(dark: boolean): void {
    this.#palette = dark ? DARK : LIGHT;
    this.#world.background = new Color(this.#palette.paper);
    const { level } = this.#palette;
    this.#sun.intensity = 0.78 * Math.PI * level;
    this.#sky.intensity = 0.42 * Math.PI * level;
    for (const board of this.#boards) {
      board.uniforms.uWash.value = dark ? 0.2 : 0.55;
      board.uniforms.uLevel.value = level;
    }
    if (this.#scenes[0]) this.#layBed(this.#scenes[0]);
    this.draw();
  }

  /**
   * Shows a burn.
   * @param beside a second one on the same wood, shown right of the divider.
   */
  show(scene: Scene, beside: Scene | null = null): void {
    const [shown, besideShown] = this.#scenes;
    const before = shown && this.#whole && onStage(shown, besideShown !== null, this.#whole);
    this.#scenes = [scene, beside];
    const whole = wholeBoard(this.#shown);
    this.#whole = whole;
    const now = onStage(scene, beside !== null, whole);
    const look = glance(before, now);
    const { burnBounds, stock, jobBounds: way } = scene.forecast;
    this.#burnsNothing = isEmptyBounds(burnBounds);
    // Where nothing burns and no board is told of there is none to look at: the bed and the head's way are.
    const isBoardless = this.#burnsNothing && stock === null;
    this.#framed = isBoardless ? way : whole;
    if (before && look === 'along' && !before.isPair && !now.isPair) this.#follow(before.board, now.board);
    this.#boards[0].show(scene, whole);
    this.#boards[0].group.visible = this.#supports.group.visible = !isBoardless;
    this.#boards[1].group.visible = beside !== null;
    if (beside) this.#boards[1].show(beside, whole);
    else this.#boards[0].uniforms.uClip.value.set(-1e9, 1e9);
    this.#layBed(scene);
    this.#layLines(scene, whole);
    if (look === 'whole') this.eye.frame(this.#framed);
    if (look === 'whole unless moved') this.eye.frameUnlessMoved(this.#framed);
    this.draw();
  }

  /** Shows the wood as on a photo of it; null: as drawn. */
  setFace(face: BoardFace | null): void {
    for (const board of this.#boards) board.setFace(face);
    this.draw();
  }

  get #shown(): Scene[] {
    return this.#scenes.filter((scene) => scene !== null);
  }

  /** A board that was moved under the job stays where it is on the screen: the eye goes with it. */
  #follow(before: Bounds, board: Bounds): void {
    this.eye.moveBy(board.minXMm - before.minXMm, board.minYMm - before.minYMm);
  }

  /** Shows the burn elsewhere on the board while it is being dragged, by so many mm. */
  shift(xMm: number, yMm: number): void {
    this.#boards[0].uniforms.uShift.value.set(xMm, yMm);
    for (const lines of [this.#travel, this.#astray]) lines?.position.set(xMm, yMm, 0);
    this.draw();
  }

  /** Where the first burn ends and the second begins, x in mm. */
  divide(xMm: number): void {
    this.#boards[0].uniforms.uClip.value.set(-1e9, xMm);
    this.#boards[1].uniforms.uClip.value.set(xMm, 1e9);
    this.draw();
  }

  showMap(picture: Texture): void {
    this.#boards[0].uniforms.uClip.value.set(-1e9, 1e9);
    this.#boards[0].showPicture(picture);
    this.#boards[1].group.visible = false;
    this.draw();
  }

  #layBed(scene: Scene): void {
    const { machine, stock } = scene.forecast;
    const [w, h] = machine.work_area_mm;
    const key = [w, h].join();
    if (key !== this.#bedKey) {
      if (this.#bed) {
        this.#world.remove(this.#bed);
        dropBed(this.#bed);
      }
      this.#bed = makeBed(w, h, this.#anisotropy);
      this.#world.add(this.#bed);
      this.#bedKey = key;
      this.#paintedIn = null;
    }
    if (this.#palette !== this.#paintedIn) {
      paintBed(this.#bed!, this.#palette);
      for (const gantry of this.#gantries) gantry?.span(w, this.#palette);
      this.#paintedIn = this.#palette;
      this.#bedWidthMm = w;
    }
    this.eye.limits(w, h);
    const thicknessMm = stock?.thicknessMm ?? ASSUMED_THICK_MM;
    this.#bed!.position.z = -thicknessMm - RAISED_MM;
    if (!this.#whole) return;
    const isLaid = this.#framed === this.#whole;
    shadeBed(this.#bed!, isLaid ? this.#whole : NOWHERE, RAISED_MM, RAISED_MM + thicknessMm);
    if (isLaid) this.#supports.under(this.#whole, thicknessMm, RAISED_MM, this.#palette.metal);
  }

  /** The head's rapids, which stay where they are the very same ones, and what is burned beside the board. */
  #layLines({ forecast: { motion } }: Scene, whole: Bounds): void {
    const { travel, astray } = this.#palette;
    const { xMm, yMm, rapid } = motion.program.moves;
    const of = [xMm, yMm, rapid, travel];
    if (!areSame(of, this.#travelOf)) {
      this.#travelOf = of;
      this.#lift(this.#travel);
      this.#travel = makeTravel(motion, travel);
      this.#world.add(this.#travel);
    }
    this.#travel?.position.set(0, 0, 0);
    const { minXMm, minYMm, maxXMm, maxYMm } = whole;
    const ofBoard = [...of, motion.program.moves.powerMode, astray, minXMm, minYMm, maxXMm, maxYMm];
    if (!areSame(ofBoard, this.#astrayOf)) {
      this.#astrayOf = ofBoard;
      this.#lift(this.#astray);
      this.#astray = makeAstray(motion, astray, whole);
      this.#world.add(this.#astray);
    }
    this.#astray?.position.set(0, 0, 0);
  }
  /** What the rapids and the lines beside the board were drawn of. */
  #travelOf: readonly Drawn[] = [];
  #astrayOf: readonly Drawn[] = [];

  #lift(lines: LineSegments | null): void {
    if (!lines) return;
    this.#world.remove(lines);
    dropTravel(lines);
  }

  /** Flat from above, or leaning. */
  setFlat(flat: boolean): void {
    this.eye.setFlat(flat, this.#framed);
  }

  /** Looks at the whole board again. */
  frame(): void {
    if (this.#framed) this.eye.frame(this.#framed, true);
  }

  setView(view: View): void {
    const shown = this.#shown;
    this.#boards.forEach((board, k) => {
      const scene = this.#scenes[k];
      if (scene) board.setView(view, scene, shown);
    });
    this.#boards[1].group.visible = this.#scenes[1] !== null;
    this.draw();
  }

  /**
   * Shows the moment: each burn as far as it has come, its head where it is.
   * @param moments of the heads; null for one whose job is done: then the wood alone is of interest.
   */
  setTime(
    tS: number,
    moments: readonly [Moment | null, Moment | null],
    paceOfTime: number,
    still: boolean,
  ): void {
    this.#boards.forEach((board, k) => {
      const scene = this.#scenes[k];
      this.#heads[k] = null;
      if (!scene) return;
      const end = scene.forecast.motion.durationS;
      board.setTime(tS);
      board.uniforms.uGlow.value = still || tS >= end ? 0 : GLOW_S * Math.max(1, Math.sqrt(paceOfTime));
      const moment = moments[k] ?? null;
      const { laser, spot } = scene.forecast.machine;
      this.#heads[k] = moment && {
        moment,
        fullW: laser.optical_power_w,
        spotMm: Math.max(...spot.width_mm),
        clockS: still ? null : tS / Math.max(1, paceOfTime),
      };
    });
    this.draw();
  }
  /** The heads under way, one for each burn. */
  readonly #heads: [Head | null, Head | null] = [null, null];

  /** The head's rapids; they are drawn while the job is under way, and leave the finished wood to be looked at. */
  showTravel(shown: boolean): void {
    this.#isTravelWished = shown;
    this.draw();
  }
  #isTravelWished = true;

  /** @param coveredPx something lies over so much of the canvas, from below. */
  resize(width: number, height: number, coveredPx: number): void {
    if (width < 1 || height < 1) return;
    this.#renderer.setSize(width, height, false);
    this.eye.resized(width, height, coveredPx, this.#framed);
    this.draw();
  }

  /** The place on the wood under a pointer, mm. */
  placeUnder(pointer: MouseEvent): [number, number] | null {
    return this.#placeAt(...this.#onCanvas(pointer));
  }

  /** Where a pointer is on the canvas, CSS pixels. */
  #onCanvas({ clientX, clientY }: MouseEvent): [number, number] {
    const { left, top } = this.canvas.getBoundingClientRect();
    return [clientX - left, clientY - top];
  }

  /** The place on the wood under a point of the canvas (CSS pixels), mm; what has come free lies lower. */
  #placeAt(x: number, y: number): [number, number] | null {
    const above = this.#placeOn(x, y, 0);
    const isLoose = (at: readonly [number, number]) => this.#boards[0].partAt(...at) !== null;
    if (!above || !isLoose(above)) return above;
    const lower = this.#placeOn(x, y, -DROP_MM);
    return lower && isLoose(lower) ? lower : above;
  }

  /** The place at height z under a point of the canvas, mm. */
  #placeOn(x: number, y: number, zMm: number): [number, number] | null {
    const { clientWidth, clientHeight } = this.canvas;
    const on = new Vector2((x / clientWidth) * 2 - 1, 1 - (y / clientHeight) * 2);
    this.#caster.setFromCamera(on, this.#camera);
    const hit = this.#caster.ray.intersectPlane(new Plane(new Vector3(0, 0, 1), -zMm), new Vector3());
    return hit ? [hit.x, hit.y] : null;
  }

  /** Where a place on the wood lies on the canvas, CSS pixels. */
  pixelOf(xMm: number, yMm: number): [number, number] {
    const zMm = this.#boards[0].partAt(xMm, yMm) ? -DROP_MM : 0;
    return this.#pixelAt(xMm, yMm, zMm);
  }

  #pixelAt(xMm: number, yMm: number, zMm: number): [number, number] {
    const v = new Vector3(xMm, yMm, zMm).project(this.#camera);
    return [((v.x + 1) / 2) * this.canvas.clientWidth, ((1 - v.y) / 2) * this.canvas.clientHeight];
  }

  /** The part that has come free under a pointer; one that is held in the hand is taken first. */
  partUnder(pointer: MouseEvent): TimedPart | null {
    const [x, y] = this.#onCanvas(pointer);
    if (this.#held) {
      const at = this.#placeOn(x, y, LIFT_MM);
      if (at && holdsPoint(this.#held.bounds, ...at)) return this.#held;
    }
    const at = this.#placeAt(x, y);
    return at && this.#boards[0].partAt(...at);
  }

  /** The part in the hand. */
  #held: TimedPart | null = null;
  #pose = { upMm: 0, turnRad: 0 };
  #moving = 0;

  /**
   * Lifts a part out of the board, and turns it so that its back shows; null puts it back.
   * @param still at once, without the way there.
   */
  lift(part: TimedPart | null, isTurned: boolean, still: boolean): void {
    cancelAnimationFrame(this.#moving);
    if (part && part !== this.#held) {
      this.#pose = { upMm: -DROP_MM, turnRad: 0 };
      this.#boards[0].lift(part);
      this.#held = part;
    }
    const of = this.#held;
    if (!of) return;
    const to = part
      ? { upMm: LIFT_MM, turnRad: isTurned ? SHOW_RAD - Math.PI : SHOW_RAD }
      : { upMm: -DROP_MM, turnRad: 0 };
    const was = this.#pose;
    const startMs = performance.now();
    const step = (nowMs: number): void => {
      const gone = still ? 1 : Math.min(1, Math.max(0, (nowMs - startMs) / LIFT_MS));
      const eased = gone * gone * (3 - 2 * gone);
      this.#pose = {
        upMm: was.upMm + (to.upMm - was.upMm) * eased,
        turnRad: was.turnRad + (to.turnRad - was.turnRad) * eased,
      };
      this.#boards[0].hold(of, this.#pose.upMm, this.#pose.turnRad);
      if (gone === 1 && !part) {
        this.#boards[0].lift(null);
        this.#held = null;
      }
      this.draw();
      if (gone < 1) this.#moving = requestAnimationFrame(step);
    };
    step(startMs);
  }

  #heldLines: ReturnType<typeof makeHeld> | null = null;

  /** Shows where an outline still holds; null: nothing of the kind. */
  showHeld(outline: HeldOutline | null): void {
    if (this.#heldLines) {
      this.#world.remove(this.#heldLines);
      this.#heldLines.geometry.dispose();
      this.#heldLines.material.dispose();
    }
    this.#heldLines = outline && makeHeld(outline, this.#palette.ember);
    if (this.#heldLines) this.#world.add(this.#heldLines);
    this.draw();
  }

  /** How much of the wood a CSS pixel covers there, mm. */
  pixelMm(xMm: number, yMm: number): number {
    const [x, y] = this.pixelOf(xMm, yMm);
    const apart = (at: readonly [number, number] | null) => (at ? Math.hypot(at[0] - xMm, at[1] - yMm) : 0);
    return Math.max(apart(this.#placeAt(x + 1, y)), apart(this.#placeAt(x, y + 1)));
  }

  /** Another picture is awaited: none with all its detail until then. */
  hold(isAwaited: boolean): void {
    this.#pacer.hold(isAwaited);
  }

  /** The gantry of the k-th burn, made when it is first asked for. */
  #gantry(k: number): Gantry {
    const known = this.#gantries[k];
    if (known) return known;
    const made = new Gantry();
    made.span(this.#bedWidthMm, this.#palette);
    this.#world.add(made.group);
    this.#gantries[k] = made;
    return made;
  }

  /** Asks for a frame; several requests before it share it. */
  draw(): void {
    this.#pacer.ask();
  }

  /** Nothing is being drawn, and what has been drawn has all its pixels. */
  get idle(): boolean {
    return this.#pacer.idle;
  }

  #paint(fineness: number): void {
    const isRough = fineness < 1;
    const ratio = Math.min(2, devicePixelRatio) * fineness;
    if (ratio !== this.#renderer.getPixelRatio()) this.#renderer.setPixelRatio(ratio);
    const isUnderWay = this.#heads.some((head) => head !== null);
    if (this.#travel) this.#travel.visible = this.#isTravelWished && (isUnderWay || this.#burnsNothing);
    const gaze = this.eye.gaze(this.canvas.clientHeight * Math.min(2, devicePixelRatio));
    this.#boards.forEach((board, k) => {
      if (board.group.visible) board.lookAt(gaze, isRough);
      const { uniforms } = board;
      const head = this.#heads[k];
      const gantry = head ? this.#gantry(k) : this.#gantries[k];
      if (gantry) gantry.group.visible = head != null;
      uniforms.uBeamLight.value = head ? head.moment.emittedW / head.fullW : 0;
      uniforms.uBeam.value = head && head.moment.emittedW > 0 ? head.spotMm : 0;
      if (!head) {
        uniforms.uHead.value.z = 0;
        return;
      }
      const { moment, fullW, clockS } = head;
      uniforms.uHead.value.set(moment.xMm, moment.yMm, 1 - 0.7 * this.eye.steepness());
      gantry!.set(moment, fullW, this.eye.throughHead(), clockS);
    });
    this.eye.focus();
    this.#renderer.render(this.#world, this.#camera);
    this.#painted = [this.#heads[0]?.moment ?? null, this.#heads[1]?.moment ?? null];
    this.frames++;
    for (const told of this.#listeners) told();
  }
  #painted: readonly [Moment | null, Moment | null] = [null, null];

  /** The moments of the frame drawn last: what tells of them stands where the heads stand there. */
  get painted(): readonly [Moment | null, Moment | null] {
    return this.#painted;
  }

  #listeners = new Set<() => void>();

  /** Calls back after each frame; returns how to stop that. */
  onFrame(told: () => void): () => void {
    this.#listeners.add(told);
    return () => this.#listeners.delete(told);
  }

  dispose(): void {
    this.eye.dispose();
    this.#pacer.dispose();
    this.#renderer.dispose();
  }
}

/** What lines are drawn of: numbers, or lists of them. */
type Drawn = number | Float64Array | Uint8Array;

/** Whether all these are what those were; to look at every number takes far less than to draw the lines anew. */
const areSame = (these: readonly Drawn[], those: readonly Drawn[]): boolean =>
  these.length === those.length && these.every((each, k) => isSame(each, those[k]!));

function isSame(a: Drawn, b: Drawn): boolean {
  if (typeof a === 'number' || typeof b === 'number') return a === b;
  if (a.length !== b.length) return false;
  if (a.buffer === b.buffer && a.byteOffset === b.byteOffset) return true;
  for (let k = 0; k < a.length; k++) if (a[k] !== b[k]) return false;
  return true;
}

/** A head under way. */
interface Head {
  readonly moment: Moment;
  readonly fullW: number;
  readonly spotMm: number;
  /** What smoke rises by, s; null: it does not show. */
  readonly clockS: number | null;
}

const onStage = (scene: Scene, isPair: boolean, whole: Bounds): OnStage => ({
  job: scene.setup.job.name,
  isPair,
  board: scene.forecast.board,
  whole,
});
