import { MOUSE, type PerspectiveCamera, TOUCH, Vector3 } from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import type { Bounds } from '../../src/grid.ts';

const FLIGHT_MS = 650;
/** How far the usual view leans from straight above. */
const LEAN_RAD = 0.62;

/** Where one looks from: turn and zoom freely, fly to a place, lie flat above. */
export class Eye {
  readonly #camera: PerspectiveCamera;
  readonly #controls: OrbitControls;
  readonly #moved: () => void;
  #flight = 0;
  #flat = false;
  #touched = false;

  constructor(camera: PerspectiveCamera, canvas: HTMLCanvasElement, moved: () => void) {
    this.#camera = camera;
    this.#moved = moved;
    this.#controls = new OrbitControls(camera, canvas);
    this.#controls.zoomToCursor = true;
    this.#controls.screenSpacePanning = false;
    this.#controls.maxPolarAngle = Math.PI / 2 - 0.12;
    this.#controls.minDistance = 12;
    this.#controls.addEventListener('change', moved);
    this.#controls.addEventListener('start', () => {
      this.#touched = true;
      cancelAnimationFrame(this.#flight);
    });
  }

  limits(_board: Bounds, widthMm: number, heightMm: number): void {
    this.#controls.maxDistance = Math.max(widthMm, heightMm) * 5;
  }

  /** The whole board, from the usual place or flat from above. */
  frame(board: Bounds, fly = false): void {
    this.#touched = false;
    const at = new Vector3((board.minXMm + board.maxXMm) / 2, (board.minYMm + board.maxYMm) / 2, 0);
    this.#go(at, this.#distanceFor(board.maxXMm - board.minXMm, board.maxYMm - board.minYMm), fly);
  }

  /** A place, `acrossMm` of the wood filling the view. */
  flyTo(atMm: readonly [number, number], acrossMm: number): void {
    this.#touched = true;
    this.#go(new Vector3(atMm[0], atMm[1], 0), this.#distanceFor(acrossMm, acrossMm * 0.5), true);
  }

  setFlat(flat: boolean, board: Bounds): void {
    if (flat === this.#flat) return;
    this.#flat = flat;
    this.#controls.enableRotate = !flat;
    this.#controls.mouseButtons.LEFT = flat ? MOUSE.PAN : MOUSE.ROTATE;
    this.#controls.touches.ONE = flat ? TOUCH.PAN : TOUCH.ROTATE;
    if (this.#touched)
      this.#go(this.#controls.target.clone(), this.#camera.position.distanceTo(this.#controls.target), true);
    else this.frame(board, true);
  }

  resized(board: Bounds): void {
    if (!this.#touched) this.frame(board);
  }

  /** Goes along with what moved by so many mm. */
  moveBy(xMm: number, yMm: number): void {
    if (xMm === 0 && yMm === 0) return;
    cancelAnimationFrame(this.#flight);
    const step = new Vector3(xMm, yMm, 0);
    this.#camera.position.add(step);
    this.#controls.target.add(step);
    this.#controls.update();
  }

  /** Moves or zooms by keys: shares of the view, and a factor of distance. */
  nudge(right: number, up: number, nearer = 1): void {
    this.#touched = true;
    const { target } = this.#controls;
    const distance = this.#camera.position.distanceTo(target);
    const step = new Vector3(right * distance * 0.1, up * distance * 0.1, 0);
    this.#camera.position.add(step);
    target.add(step);
    this.#camera.position
      .sub(target)
      .multiplyScalar(1 / nearer)
      .add(target);
    this.#controls.update();
    this.#moved();
  }

  /** 0 seen from the side … 1 straight from above. */
  steepness(): number {
    const polar = this.#controls.getPolarAngle();
    return Math.min(1, Math.max(0, 1 - polar / 0.45));
  }

  /** Whether dragging moves the eye (not while the job itself is being dragged). */
  setEnabled(enabled: boolean): void {
    this.#controls.enabled = enabled;
  }

  dispose(): void {
    cancelAnimationFrame(this.#flight);
    this.#controls.dispose();
  }

  /** From how far a rectangle fills the canvas. */
  #distanceFor(widthMm: number, heightMm: number): number {
    const half = Math.tan(((this.#camera.fov / 2) * Math.PI) / 180);
    const byHeight = (heightMm * 1.25 + 12) / 2 / half;
    const byWidth = (widthMm * 1.12 + 8) / 2 / (half * this.#camera.aspect);
    return Math.max(byHeight, byWidth, 20);
  }

  #go(at: Vector3, distance: number, fly: boolean): void {
    cancelAnimationFrame(this.#flight);
    const lean = this.#flat ? 1e-4 : LEAN_RAD;
    const to = at.clone().add(new Vector3(0, -Math.sin(lean), Math.cos(lean)).multiplyScalar(distance));
    const { target } = this.#controls;
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    if (!fly || still) {
      this.#camera.position.copy(to);
      target.copy(at);
      this.#controls.update();
      this.#moved();
      return;
    }
    const from = this.#camera.position.clone();
    const fromTarget = target.clone();
    const startMs = performance.now();
    const step = (nowMs: number) => {
      const part = Math.min(1, Math.max(0, (nowMs - startMs) / FLIGHT_MS));
      const eased = part * part * (3 - 2 * part);
      this.#camera.position.lerpVectors(from, to, eased);
      target.lerpVectors(fromTarget, at, eased);
      this.#controls.update();
      this.#moved();
      if (part < 1) this.#flight = requestAnimationFrame(step);
    };
    this.#flight = requestAnimationFrame(step);
  }
}
