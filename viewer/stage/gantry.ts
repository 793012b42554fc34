import {
  AdditiveBlending,
  BoxGeometry,
  CanvasTexture,
  ConeGeometry,
  CylinderGeometry,
  Group,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  Sprite,
  SpriteMaterial,
} from 'three';
import type { Moment } from '../time/moments.ts';
import type { Palette } from './palette.ts';

/** The lens stands so far above the wood. */
const LENS_MM = 9;
const BRIDGE_BEHIND_MM = 9;
const BRIDGE_ABOVE_MM = 20;

/**
 * Bridge, head and beam. The bridge travels in y, the head along it in x. They cast no shadow of their own: the
 * wood's shader draws a soft one under the head, so that nothing dark lies over the burn.
 */
export class Gantry {
  readonly group = new Group();
  readonly #head = new Group();
  readonly #bridge = new Group();
  readonly #beam: Mesh<ConeGeometry, MeshBasicMaterial>;
  readonly #spot: Sprite;
  readonly #metal = new MeshLambertMaterial({ transparent: true });
  readonly #dark = new MeshLambertMaterial({ transparent: true });
  #rail: Mesh | null = null;

  constructor() {
    const body = new Mesh(new BoxGeometry(9, 8, 15), this.#dark);
    body.position.z = LENS_MM + 12.5;
    const nozzle = new Mesh(new CylinderGeometry(2.9, 1.1, 5, 32), this.#metal);
    nozzle.rotation.x = Math.PI / 2;
    nozzle.position.z = LENS_MM + 2.5;
    const collar = new Mesh(new CylinderGeometry(3.2, 3.2, 0.8, 32), this.#dark);
    collar.rotation.x = Math.PI / 2;
    collar.position.z = LENS_MM + 5;

    this.#beam = new Mesh(
      new ConeGeometry(0.75, LENS_MM, 24, 1, true),
      new MeshBasicMaterial({
        color: 0x6d63f2,
        transparent: true,
        depthWrite: false,
        side: 2,
      }),
    );
    this.#beam.rotation.x = -Math.PI / 2;
    this.#beam.position.z = LENS_MM / 2;
    this.#spot = new Sprite(
      new SpriteMaterial({
        map: new CanvasTexture(glowPicture()),
        blending: AdditiveBlending,
        depthWrite: false,
        // It shines through air; tested against the wood it stands in, its lower half would be cut off.
        depthTest: false,
        transparent: true,
      }),
    );
    this.#spot.position.z = 0.3;
    this.#head.add(body, nozzle, collar, this.#beam, this.#spot);
    this.group.add(this.#head, this.#bridge);
  }

  /** A new work area: the bridge spans it. */
  span(widthMm: number, palette: Palette): void {
    this.#metal.color.set(palette.metal);
    this.#dark.color.set(palette.head);
    if (this.#rail) {
      this.#rail.geometry.dispose();
      this.#bridge.clear();
    }
    const rail = new Mesh(new BoxGeometry(widthMm + 24, 4, 5), this.#metal);
    rail.position.set(widthMm / 2, BRIDGE_BEHIND_MM, BRIDGE_ABOVE_MM);
    const groove = new Mesh(new BoxGeometry(widthMm + 24, 0.4, 1.2), this.#dark);
    groove.position.set(widthMm / 2, BRIDGE_BEHIND_MM - 2, BRIDGE_ABOVE_MM);
    this.#bridge.add(rail, groove);
    for (const x of [-12, widthMm + 12]) {
      const foot = new Mesh(new BoxGeometry(5, 12, 17), this.#dark);
      foot.position.set(x, BRIDGE_BEHIND_MM, BRIDGE_ABOVE_MM - 4);
      this.#bridge.add(foot);
    }
    this.#rail = rail;
  }

  /** @param seeThrough 0 solid … 1 hardly there (seen from above, the wood must not be hidden). */
  set(moment: Moment, fullW: number, seeThrough: number): void {
    this.#head.position.set(moment.xMm, moment.yMm, moment.zMm);
    this.#bridge.position.y = moment.yMm;
    const power = Math.min(1, Math.max(0, moment.emittedW / fullW));
    this.#beam.material.opacity = 0.55 * power;
    this.#beam.visible = power > 0.001;
    const glow = Math.sqrt(power);
    this.#spot.visible = power > 0.001;
    this.#spot.scale.setScalar(1.2 + 3.2 * glow);
    this.#spot.material.opacity = 0.25 + 0.75 * glow;
    this.#metal.opacity = 0.92 - 0.84 * seeThrough;
    this.#dark.opacity = 0.9 - 0.82 * seeThrough;
  }
}

function glowPicture(): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = 128;
  const draw = canvas.getContext('2d')!;
  const glow = draw.createRadialGradient(64, 64, 0, 64, 64, 64);
  glow.addColorStop(0, 'rgba(255, 246, 230, 1)');
  glow.addColorStop(0.08, 'rgba(255, 196, 120, 0.95)');
  glow.addColorStop(0.25, 'rgba(255, 112, 40, 0.42)');
  glow.addColorStop(0.55, 'rgba(180, 70, 60, 0.1)');
  glow.addColorStop(1, 'rgba(120, 60, 120, 0)');
  draw.fillStyle = glow;
  draw.fillRect(0, 0, 128, 128);
  return canvas;
}
