import { needOf } from '../burn/need.ts';
import { depositLayer } from '../change/layers.ts';
import type { Forecast } from '../forecast.ts';
import type { GridFrame } from '../grid.ts';
import { grown } from '../nearby.ts';

/** Whose marks a cell of a frame shows. */
export interface Areas {
  /** The operation whose marks alone lie there or so near that a blurred photo shows them there; 0: nobody's or several's. */
  readonly owner: Uint16Array;
  /** 1 where its marks lie all around too, so that a blurred photo shows no bare wood from beside them. */
  readonly isInside: Uint8Array;
  /** 1 where nothing is burned, nor near. */
  readonly isBare: Uint8Array;
}

/** A mark shows from this part of the first mark on; others may reach so much of it where one is looked at alone. */
const SHOWS = 0.5;
const OTHERS = 0.2;
/** So much of the first mark is warmth and smoke: not bare. */
const BARE = 0.1;
/** Smoke stains so far beside what is burned, mm. */
const CLEAR_MM = 0.7;

/** @param reachMm how far from a mark a photo shows it. */
export function areasOf(forecast: Forecast, frame: GridFrame, reachMm: number): Areas {
  const { motion, machine, material, program } = forecast;
  const count = program.operations.length;
  const first = material.first_mark_j_mm2.value * needOf(material, machine.laser.wavelength_nm).byDepth;
  const size = frame.nx * frame.ny;
  const owner = new Uint16Array(size);
  const isInside = new Uint8Array(size);
  const seenBy = new Uint8Array(size);
  const burned = new Uint8Array(size);
  for (let n = 1; n <= count; n++) {
    const members = new Uint8Array(count + 1);
    members[n] = 1;
    const layer = depositLayer(motion, machine, { frame, places: null }, members);
    const shown = new Uint8Array(size);
    const near = new Uint8Array(size);
    const { nx, ny, data } = layer.dose.grid;
    for (let j = 0, k = 0; j < ny; j++) {
      for (let i = 0; i < nx; i++, k++) {
        const part = data[k]! / first;
        const cell = (layer.j0 + j) * frame.nx + layer.i0 + i;
        if (part >= SHOWS) shown[cell] = 1;
        if (part >= OTHERS) near[cell] = 1;
        if (part >= BARE) burned[cell] = 1;
      }
    }
    const own = grown(shown, frame, cellsIn(reachMm, frame));
    const others = grown(near, frame, cellsIn(reachMm, frame));
    const nearUnmarked = grown(
      shown.map((each) => 1 - each),
      frame,
      cellsIn(reachMm, frame),
    );
    for (let k = 0; k < size; k++) {
      if (others[k] === 1) seenBy[k] = Math.min(2, seenBy[k]! + 1);
      if (own[k] !== 1) continue;
      owner[k] = n;
      isInside[k] = 1 - nearUnmarked[k]!;
    }
  }
  const isBare = grown(burned, frame, cellsIn(CLEAR_MM + reachMm, frame));
  for (let k = 0; k < size; k++) {
    isBare[k] = 1 - isBare[k]!;
    if (seenBy[k] !== 1) owner[k] = 0;
  }
  return { owner, isInside, isBare };
}

/** The cells that a length reaches into at most. */
const cellsIn = (mm: number, { cellMm }: GridFrame): number => Math.ceil(mm / cellMm - 1e-9);
