import { MathUtils, MOUSE, type PerspectiveCamera, TOUCH, Vector3 } from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { type Bounds, middleOf } from '../../src/grid.ts';
import type { Gaze } from './relief.ts';

const FLIGHT_MS = 650;
/** How far the usual view leans from straight above. */
const LEAN_RAD = 0.62;
/** The angle of view, leaning … */
const LEAN_FOV = 24;
/** … and flat: so long a lens that the wood shifts by less than 0.15 mm against the ruler on the bed below it. */
const FLAT_FOV = 1;
/** The eye goes no lower than this, from straight above. */
const LOWEST_RAD = Math.PI / 2 - 0.12;
/** No closer than this much of the wood from the view's lower edge to its upper, mm. */
const LEAST_HEIGHT_MM = 5;
/** No farther away than this many times the bed's longer side. */
const MOST_BEDS = 2.1;
/** Where less than this lies between the view's edges, the head begins to fill it, mm. */
const FAR_FROM_HEAD_MM = 50;
/** The net of the wood's depths needs no threads nearer to each other than so many pixels: what is finer, its textures tell. */
const FINEST_PX = 2.4;
/** Bare room around what is shown: a share of it, and mm. */
const AROUND = 1.06;
const AROUND_MM = 5;
/** Leaning less than this, the eye would lose which way is up. */
const STRAIGHT_DOWN_RAD = 1e-3;
/** Nothing nearer to the eye than this is drawn, mm. */
const NEAREST_MM = 5;

/** Where one looks from: turn and zoom freely, fly to a place, lie flat above. */
export class Eye {
  readonly #camera: PerspectiveCamera;
  readonly #controls: OrbitControls;
  readonly #moved: () => void;
  #flight = 0;
  #flat = false;
  #scrolls = false;
  #touched = false;
  /** A hand is on the wood; a press, or a swipe that scrolls the page, has not moved the view yet. */
  #held = false;
  #bedMm = 400;
  /** The share of the canvas, from above, that nothing lies over. */
  #open = 1;

  constructor(camera: PerspectiveCamera, canvas: HTMLCanvasElement, moved: () => void) {
    this.#camera = camera;
    camera.fov = LEAN_FOV;
    this.#moved = moved;
    this.#controls = new OrbitControls(camera, canvas);
    this.#controls.zoomToCursor = true;
    this.#controls.screenSpacePanning = false;
    this.#controls.maxPolarAngle = LOWEST_RAD;
    this.#followFingers(canvas);
    this.#limit();
    this.#controls.addEventListener('change', () => {
      if (this.#held) this.#touched = true;
      moved();
    });
    this.#controls.addEventListener('start', () => {
      this.#land();
      this.#held = true;
    });
    this.#controls.addEventListener('end', () => {
      this.#held = false;
    });
  }

  /**
   * Where a swipe up or down scrolls the page, one finger turns the board and leaves its tilt alone.
   */
  #followFingers(canvas: HTMLCanvasElement): void {
    const down = new Set<number>();
    const set = () => {
      const held = this.#controls.getPolarAngle();
      const isOne = this.#scrolls && down.size === 1 && !this.#flat;
      this.#controls.minPolarAngle = isOne ? held : 0;
      this.#controls.maxPolarAngle = isOne ? held : LOWEST_RAD;
    };
    canvas.addEventListener('pointerdown', ({ pointerType, pointerId }) => {
      if (pointerType !== 'touch') return;
      down.add(pointerId);
      set();
    });
    for (const kind of ['pointerup', 'pointercancel'] as const)
      canvas.addEventListener(kind, ({ pointerId }) => {
        if (down.delete(pointerId)) set();
      });
  }

  /** Whether the page scrolls under a finger that goes up or down over the wood. */
  setScrolling(scrolls: boolean): void {
    this.#scrolls = scrolls;
    this.#controls.domElement!.style.touchAction = scrolls ? 'pan-y' : 'none';
  }

  limits(widthMm: number, heightMm: number): void {
    this.#bedMm = Math.max(widthMm, heightMm);
    this.#limit();
  }

  #limit(): void {
    const half = tanHalf(this.#camera.fov);
    this.#controls.minDistance = LEAST_HEIGHT_MM / 2 / half;
    this.#controls.maxDistance = (MOST_BEDS * this.#bedMm) / 2 / half;
  }

  /** The whole board, from the usual place or flat from above. */
  frame(board: Bounds, fly = false): void {
    this.#touched = false;
    const at = new Vector3(...middleOf(board), 0);
    this.#go(at, this.#heightFor(board.maxXMm - board.minXMm, board.maxYMm - board.minYMm), fly);
  }

  /** The whole board, where nobody has turned to something else since it was looked at. */
  frameUnlessMoved(board: Bounds): void {
    if (!this.#touched) this.frame(board);
  }

  /** A place, `acrossMm` of the wood filling the view. */
  flyTo(atMm: readonly [number, number], acrossMm: number): void {
    this.#touched = true;
    this.#go(new Vector3(atMm[0], atMm[1], 0), this.#heightFor(acrossMm, acrossMm * 0.5), true);
  }

  setFlat(flat: boolean, board: Bounds | null): void {
    if (flat === this.#flat) return;
    this.#flat = flat;
    this.#controls.enableRotate = !flat;
    this.#controls.mouseButtons.LEFT = flat ? MOUSE.PAN : MOUSE.ROTATE;
    this.#controls.touches.ONE = flat ? TOUCH.PAN : TOUCH.ROTATE;
    if (this.#touched) this.#go(this.#controls.target.clone(), this.#heightMm(), true);
    else if (board) this.frame(board, true);
  }

  /** The canvas has another size, or something lies over its lowest `coveredPx`. */
  resized(widthPx: number, heightPx: number, coveredPx: number, board: Bounds | null): void {
    this.#camera.aspect = widthPx / heightPx;
    this.#open = Math.max(0.4, 1 - coveredPx / heightPx);
    // What is looked at stands in the middle of what can be seen.
    const down = ((1 - this.#open) / 2) * heightPx;
    this.#camera.setViewOffset(widthPx, heightPx, 0, down, widthPx, heightPx);
    if (board) this.frameUnlessMoved(board);
  }

  /** Goes along with what moved by so many mm. */
  moveBy(xMm: number, yMm: number): void {
    if (xMm === 0 && yMm === 0) return;
    this.#land();
    const step = new Vector3(xMm, yMm, 0);
    this.#camera.position.add(step);
    this.#controls.target.add(step);
    this.#controls.update();
  }

  /** Moves or zooms by keys: shares of the view, and a factor of distance. */
  nudge(right: number, up: number, nearer = 1): void {
    this.#touched = true;
    const { target } = this.#controls;
    const stepMm = this.#heightMm() * 0.235;
    const step = new Vector3(right * stepMm, up * stepMm, 0);
    this.#camera.position.add(step);
    target.add(step);
    this.#camera.position
      .sub(target)
      .multiplyScalar(1 / nearer)
      .add(target);
    this.#controls.update();
    this.#moved();
  }

  /** Turns the board before the eye, and tips it, by keys; lying flat it keeps its place. */
  turn(aboutRad: number, tipRad: number): void {
    if (this.#flat) return;
    this.#touched = true;
    this.#land();
    const away = this.#camera.position.clone().sub(this.#controls.target);
    const polar = Math.min(LOWEST_RAD, Math.max(STRAIGHT_DOWN_RAD, this.#controls.getPolarAngle() + tipRad));
    const around = Math.atan2(away.y, away.x) + aboutRad;
    const flatMm = away.length() * Math.sin(polar);
    away.set(flatMm * Math.cos(around), flatMm * Math.sin(around), away.length() * Math.cos(polar));
    this.#camera.position.copy(this.#controls.target).add(away);
    this.#controls.update();
    this.#moved();
  }

  /** Draws only what lies between here and the far side of the bed, so that depths are told apart finely. */
  focus(): void {
    const distance = this.#camera.position.distanceTo(this.#controls.target);
    const around = 2 * this.#bedMm + 200 + this.#heightMm();
    this.#camera.near = Math.max(NEAREST_MM, distance - around);
    this.#camera.far = distance + around;
    this.#camera.updateProjectionMatrix();
  }

  /** What of the wood is looked at: the middle, half of what lies between the view's edges, and what a pixel covers. */
  gaze(heightPx: number): Gaze {
    const { x, y } = this.#controls.target;
    const half = this.#heightMm() / 2;
    const tip = Math.max(0.25, Math.cos(this.#controls.getPolarAngle()));
    return {
      atMm: [x, y],
      withinMm: [half * this.#camera.aspect, half / tip],
      finestMm: (FINEST_PX * 2 * half) / heightPx,
    };
  }

  /** 0 seen from the side … 1 straight from above. */
  steepness(): number {
    const polar = this.#controls.getPolarAngle();
    return Math.min(1, Math.max(0, 1 - polar / 0.45));
  }

  /** How much the head must let through, 0…1: from above and from nearby it would stand before the wood. */
  throughHead(): number {
    const near = Math.min(1, Math.max(0, (FAR_FROM_HEAD_MM - this.#heightMm()) / (FAR_FROM_HEAD_MM / 2)));
    return Math.max(this.steepness(), near);
  }

  /** Whether dragging moves the eye (not while the job itself is being dragged). */
  setEnabled(enabled: boolean): void {
    this.#controls.enabled = enabled;
  }

  dispose(): void {
    cancelAnimationFrame(this.#flight);
    this.#controls.dispose();
  }

  /** So much of the wood lies between the view's lower edge and its upper, mm. */
  #heightMm(): number {
    return 2 * tanHalf(this.#camera.fov) * this.#camera.position.distanceTo(this.#controls.target);
  }

  /** How much the view must span for a rectangle to fit into the open part of the canvas. */
  #heightFor(widthMm: number, heightMm: number): number {
    const lean = this.#flat ? 0 : LEAN_RAD;
    const half = tanHalf(this.#flat ? FLAT_FOV : LEAN_FOV);
    const near = (heightMm / 2) * Math.sin(lean);
    const across = ((widthMm / 2) * AROUND + AROUND_MM) / (half * this.#camera.aspect);
    const up = ((heightMm / 2) * Math.cos(lean) * AROUND + AROUND_MM) / (half * this.#open);
    return 2 * half * (near + Math.max(across, up));
  }

  /** Ends a flight where it is, with the lens it is meant to end with. */
  #land(): void {
    cancelAnimationFrame(this.#flight);
    const fov = this.#flat ? FLAT_FOV : LEAN_FOV;
    if (this.#camera.fov !== fov) this.#look(this.#controls.target, this.#direction(), this.#heightMm(), fov);
    this.#limit();
  }

  #direction(): Vector3 {
    return this.#camera.position.clone().sub(this.#controls.target).normalize();
  }

  #look(at: Vector3, from: Vector3, heightMm: number, fov: number): void {
    this.#camera.fov = fov;
    this.#controls.minDistance = 0;
    this.#controls.maxDistance = Infinity;
    this.#controls.target.copy(at);
    this.#camera.position.copy(at).addScaledVector(from, heightMm / 2 / tanHalf(fov));
    this.#controls.update();
    this.#moved();
  }

  #go(at: Vector3, heightMm: number, fly: boolean): void {
    cancelAnimationFrame(this.#flight);
    const lean = this.#flat ? 1e-4 : LEAN_RAD;
    const to = {
      at,
      from: new Vector3(0, -Math.sin(lean), Math.cos(lean)),
      height: Math.max(LEAST_HEIGHT_MM, heightMm),
      fov: this.#flat ? FLAT_FOV : LEAN_FOV,
    };
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    if (!fly || still) {
      this.#look(to.at, to.from, to.height, to.fov);
      this.#limit();
      return;
    }
    const was = {
      at: this.#controls.target.clone(),
      from: this.#direction(),
      height: this.#heightMm(),
      fov: this.#camera.fov,
    };
    const startMs = performance.now();
    const step = (nowMs: number) => {
      const part = Math.min(1, Math.max(0, (nowMs - startMs) / FLIGHT_MS));
      const eased = part * part * (3 - 2 * part);
      const ratio = (a: number, b: number) => a * (b / a) ** eased;
      this.#look(
        was.at.clone().lerp(to.at, eased),
        was.from.clone().lerp(to.from, eased).normalize(),
        ratio(was.height, to.height),
        ratio(was.fov, to.fov),
      );
      if (part < 1) this.#flight = requestAnimationFrame(step);
      else this.#limit();
    };
    this.#flight = requestAnimationFrame(step);
  }
}

const tanHalf = (fovDeg: number): number => Math.tan(MathUtils.degToRad(fovDeg / 2));
