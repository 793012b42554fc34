import {
  AdditiveBlending,
  BoxGeometry,
  type BufferGeometry,
  CanvasTexture,
  CatmullRomCurve3,
  ConeGeometry,
  CylinderGeometry,
  Group,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  Sprite,
  SpriteMaterial,
  TubeGeometry,
  Vector3,
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
  readonly #smokeMap = roundTexture(64, SMOKE);
  readonly #puffs: Sprite[] = [];
  #rail: Mesh | null = null;

  constructor() {
    const put = (geometry: BufferGeometry, of: MeshLambertMaterial, z: number, y = 0): void => {
      const mesh = new Mesh(geometry, of);
      mesh.position.set(0, y, z);
      this.#head.add(mesh);
    };
    const round = (low: number, high: number, length: number) =>
      new CylinderGeometry(high, low, length, 28).rotateX(Math.PI / 2);
    // From the nozzle upwards: tip, collar, body, and ribs that carry its heat away.
    put(round(1, 2.6, 4.5), this.#metal, LENS_MM + 2.25);
    put(round(3.1, 3.1, 0.7), this.#dark, LENS_MM + 4.8);
    put(rounded(8.6, 8, 1.6).translate(0, 0, LENS_MM + 5.2), this.#dark, 0);
    for (let k = 0; k < RIBS; k++)
      put(rounded(8.2, 7.6, 0.8).translate(0, 0, LENS_MM + 13.4 + 1.5 * k), this.#metal, 0);
    put(
      new CylinderGeometry(2.6, 2.6, RIBS * 1.5, 20).rotateX(Math.PI / 2),
      this.#dark,
      LENS_MM + 13.4 + 0.75 * RIBS,
    );
    put(new TubeGeometry(CABLE, 24, 0.75, 8), this.#dark, 0);
    // The carriage that runs along the bridge.
    put(new BoxGeometry(13, 1.6, 9), this.#metal, BRIDGE_ABOVE_MM, BRIDGE_BEHIND_MM - 3.4);

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
        map: roundTexture(128, GLOW),
        blending: AdditiveBlending,
        depthWrite: false,
        // It shines through air; tested against the wood it stands in, its lower half would be cut off.
        depthTest: false,
        transparent: true,
      }),
    );
    this.#spot.position.z = 0.3;
    for (let k = 0; k < PUFFS; k++) {
      const puff = new Sprite(
        new SpriteMaterial({ map: this.#smokeMap, color: 0x6e6863, depthWrite: false, transparent: true }),
      );
      this.#puffs.push(puff);
      this.#head.add(puff);
    }
    this.#head.add(this.#beam, this.#spot);
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
    // The belt lies along the bridge, over a wheel at either end.
    const belt = new Mesh(new BoxGeometry(widthMm + 20, 0.5, 0.9), this.#dark);
    belt.position.set(widthMm / 2, BRIDGE_BEHIND_MM - 2.1, BRIDGE_ABOVE_MM + 3.4);
    this.#bridge.add(rail, groove, belt);
    for (const x of [-12, widthMm + 12]) {
      const foot = new Mesh(new BoxGeometry(5, 12, 17), this.#dark);
      foot.position.set(x, BRIDGE_BEHIND_MM, BRIDGE_ABOVE_MM - 4);
      const wheel = new Mesh(new CylinderGeometry(2.2, 2.2, 1.4, 20), this.#metal);
      wheel.position.set(x, BRIDGE_BEHIND_MM - 2.1, BRIDGE_ABOVE_MM + 1.6);
      this.#bridge.add(foot, wheel);
    }
    this.#rail = rail;
  }

  /**
   * @param seeThrough 0 solid … 1 hardly there (seen from above, the wood must not be hidden).
   * @param clockS what smoke rises by, s; null: it does not show.
   */
  set(moment: Moment, fullW: number, seeThrough: number, clockS: number | null): void {
    this.#smoke(moment, clockS);
    this.#head.position.set(moment.xMm, moment.yMm, moment.zMm);
    this.#bridge.position.y = moment.yMm;
    const power = Math.min(1, Math.max(0, moment.emittedW / fullW));
    this.#beam.material.opacity = 0.55 * power;
    this.#beam.visible = power > 0.001;
    const glow = Math.sqrt(power);
    this.#spot.visible = power > 0.001;
    this.#spot.scale.setScalar(1 + 2.4 * glow);
    this.#spot.material.opacity = 0.25 + 0.75 * glow;
    this.#metal.opacity = 0.96 - 0.88 * seeThrough;
    this.#dark.opacity = 0.96 - 0.88 * seeThrough;
  }

  /** A wisp of smoke, the thicker the more energy a millimetre of the way gets. */
  #smoke({ emittedW, speedMmPerS }: Moment, clockS: number | null): void {
    const jPerMm = emittedW / Math.max(1, speedMmPerS);
    const thick = clockS === null ? 0 : Math.min(1, jPerMm / MOST_SMOKE_J_PER_MM);
    this.#puffs.forEach((puff, k) => {
      puff.visible = thick > 0.02;
      if (!puff.visible) return;
      const turn = (clockS ?? 0) / PUFF_S + k / PUFFS;
      const age = turn - Math.floor(turn);
      // No two puffs go the same way.
      const way = Math.floor(turn) * 2.4 + k * 1.7;
      puff.position.set(
        age * (2.2 + 1.6 * Math.sin(way)),
        age * (-1.5 + 1.4 * Math.cos(way)),
        0.8 + RISE_MM * age,
      );
      puff.scale.setScalar(1 + 6.5 * age);
      puff.material.opacity = 0.7 * Math.sqrt(thick) * (1 - age) * Math.min(1, 6 * age);
    });
  }
}

/** Ribs of the head, and puffs of smoke in the air at once. */
const RIBS = 4;
const PUFFS = 7;
/** A puff is in the air so long, s, and rises so far, mm. */
const PUFF_S = 1.4;
const RISE_MM = 17;
/** With this line energy smoke is at its thickest, J/mm: as much as cuts thin plywood. */
const MOST_SMOKE_J_PER_MM = 0.6;

/** From the head's top in a loop back to the bridge. */
const CABLE = new CatmullRomCurve3(
  [
    [0, 1, 28],
    [1.5, 3, 34],
    [7, 6, 37],
    [13, 9, 33],
    [16, BRIDGE_BEHIND_MM, BRIDGE_ABOVE_MM + 2],
  ].map(([x, y, z]) => new Vector3(x, y, z)),
);

/** A block with rounded upright edges, its underside at z 0: a cylinder whose quarters are drawn apart. */
function rounded(width: number, depth: number, height: number): BufferGeometry {
  const r = 1.8;
  // Turned by half a step, so that no place of the wall lies between two quarters.
  const block = new CylinderGeometry(r, r, height, 24, 1, false, Math.PI / 24);
  const places = block.getAttribute('position');
  for (let k = 0; k < places.count; k++) {
    const [x, z] = [places.getX(k), places.getZ(k)];
    places.setX(k, x + Math.sign(x) * (width / 2 - r));
    places.setZ(k, z + Math.sign(z) * (depth / 2 - r));
  }
  return block.rotateX(Math.PI / 2).translate(0, 0, height / 2);
}

/** From the middle outward: the part of the way, and the colour there. */
const SMOKE: ColourStops = [
  [0, 'rgba(255, 255, 255, 0.9)'],
  [0.5, 'rgba(255, 255, 255, 0.35)'],
  [1, 'rgba(255, 255, 255, 0)'],
];
const GLOW: ColourStops = [
  [0, 'rgba(255, 246, 230, 1)'],
  [0.08, 'rgba(255, 196, 120, 0.95)'],
  [0.25, 'rgba(255, 112, 40, 0.42)'],
  [0.55, 'rgba(180, 70, 60, 0.1)'],
  [1, 'rgba(120, 60, 120, 0)'],
];

type ColourStops = readonly (readonly [part: number, colour: string])[];

function roundTexture(sizePx: number, stops: ColourStops): CanvasTexture {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = sizePx;
  const draw = canvas.getContext('2d')!;
  const middle = sizePx / 2;
  const shade = draw.createRadialGradient(middle, middle, 0, middle, middle, middle);
  for (const [part, colour] of stops) shade.addColorStop(part, colour);
  draw.fillStyle = shade;
  draw.fillRect(0, 0, sizePx, sizePx);
  return new CanvasTexture(canvas);
}
