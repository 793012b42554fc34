/**
 * Heat on a lattice of square cells, sparse: eight by eight cells make a tile, and only tiles with heat exist. Heat
 * is put in so that its centre stays where it is; how much wider the lattice makes it is kept per axis, so
 * that whoever spreads it can take that much less.
 */
export interface HeatCells {
  cellMm: number;
  /** The first tile's column and row, counted from the origin of the plane, and how many there are. */
  tileX0: number;
  tileY0: number;
  tilesX: number;
  tilesY: number;
  /** Per tile, row by row: where its 64 cells begin in `heatJ`, or -1; may be longer than there are tiles. */
  tileAt: Int32Array;
  /** J per cell. */
  heatJ: Float64Array;
  used: number;
}

const TILE_BITS = 3;
const TILE = 1 << TILE_BITS;
const TILE_CELLS = TILE * TILE;

/** A rectangle of the plane, mm. */
export interface Box {
  minX: number;
  minY: number;
  maxX: number;
  maxY: number;
}

/**
 * Empty cells that have room for heat anywhere in the box.
 * @param spent cells nobody reads any more: their arrays are used again.
 */
export function emptyCells(box: Readonly<Box>, cellMm: number, spent: HeatCells | null = null): HeatCells {
  const tileMm = cellMm * TILE;
  const tileX0 = Math.floor((box.minX - cellMm) / tileMm);
  const tileY0 = Math.floor((box.minY - cellMm) / tileMm);
  const tilesX = Math.floor((box.maxX + cellMm) / tileMm) - tileX0 + 1;
  const tilesY = Math.floor((box.maxY + cellMm) / tileMm) - tileY0 + 1;
  const tiles = tilesX * tilesY;
  if (spent === null) {
    const tileAt = new Int32Array(tiles).fill(-1);
    return {
      cellMm,
      tileX0,
      tileY0,
      tilesX,
      tilesY,
      tileAt,
      heatJ: new Float64Array(4 * TILE_CELLS),
      used: 0,
    };
  }
  if (spent.tileAt.length < tiles) spent.tileAt = new Int32Array(2 * tiles);
  spent.tileAt.fill(-1, 0, tiles);
  spent.heatJ.fill(0, 0, spent.used);
  spent.cellMm = cellMm;
  spent.tileX0 = tileX0;
  spent.tileY0 = tileY0;
  spent.tilesX = tilesX;
  spent.tilesY = tilesY;
  spent.used = 0;
  return spent;
}

/** Puts heat into one cell, by its column and row from the origin of the plane. */
function put(cells: HeatCells, i: number, j: number, heatJ: number): void {
  const tile = ((j >> TILE_BITS) - cells.tileY0) * cells.tilesX + ((i >> TILE_BITS) - cells.tileX0);
  let at = cells.tileAt[tile]!;
  if (at < 0) {
    at = cells.used;
    cells.tileAt[tile] = at;
    cells.used += TILE_CELLS;
    if (cells.used > cells.heatJ.length) {
      const longer = new Float64Array(2 * cells.heatJ.length);
      longer.set(cells.heatJ);
      cells.heatJ = longer;
    }
  }
  at += ((j & (TILE - 1)) << TILE_BITS) + (i & (TILE - 1));
  cells.heatJ[at] = cells.heatJ[at]! + heatJ;
}

/** Shares heat at a point out to the four cells around it, by its distance from their centres. */
export function addPoint(cells: HeatCells, xMm: number, yMm: number, heatJ: number): void {
  const x = xMm / cells.cellMm - 0.5;
  const y = yMm / cells.cellMm - 0.5;
  const i = Math.floor(x);
  const j = Math.floor(y);
  const right = (x - i) * heatJ;
  const left = heatJ - right;
  const up = y - j;
  put(cells, i, j, left * (1 - up));
  put(cells, i + 1, j, right * (1 - up));
  put(cells, i, j + 1, left * up);
  put(cells, i + 1, j + 1, right * up);
}

/** Variance that {@link addPoint} gives along one axis, mm². */
export function pointSmear(atMm: number, cellMm: number): number {
  const x = atMm / cellMm - 0.5;
  const part = x - Math.floor(x);
  return part * (1 - part) * cellMm * cellMm;
}

/** Variance that {@link addCells} gives along each axis into cells twice as wide, in squares of those. */
export const HALVING_SMEAR = 3 / 16;

/** Adds the heat of cells as wide, or half as wide. */
export function addCells(to: HeatCells, from: HeatCells): void {
  const isSame = to.cellMm === from.cellMm;
  for (let tile = 0; tile < from.tilesX * from.tilesY; tile++) {
    const at = from.tileAt[tile]!;
    if (at < 0) continue;
    const i0 = (from.tileX0 + (tile % from.tilesX)) << TILE_BITS;
    const j0 = (from.tileY0 + Math.floor(tile / from.tilesX)) << TILE_BITS;
    for (let k = 0; k < TILE_CELLS; k++) {
      const heatJ = from.heatJ[at + k]!;
      if (heatJ === 0) continue;
      const i = i0 + (k & (TILE - 1));
      const j = j0 + (k >> TILE_BITS);
      if (isSame) put(to, i, j, heatJ);
      else addHalved(to, i, j, heatJ);
    }
  }
}

/** A cell's heat into cells twice as wide: three quarters to the one it lies in, one to the one it borders on. */
function addHalved(to: HeatCells, i: number, j: number, heatJ: number): void {
  const inI = i >> 1;
  const inJ = j >> 1;
  const nextI = i & 1 ? inI + 1 : inI - 1;
  const nextJ = j & 1 ? inJ + 1 : inJ - 1;
  const part = heatJ / 16;
  put(to, inI, inJ, 9 * part);
  put(to, nextI, inJ, 3 * part);
  put(to, inI, nextJ, 3 * part);
  put(to, nextI, nextJ, part);
}

/** A cell's heat is followed so many σ far along each axis: 3e-3 of a line’s heat lies beyond, 5e-3 of a point’s. */
const REACH_SIGMA = 3;

/** More cells than this a window never spans. */
const MOST_CELLS = 64;
const weightX = new Float64Array(MOST_CELLS);
const weightY = new Float64Array(MOST_CELLS);

/** e^−u for u = k/{@link PER_UNIT}, a little further than is ever asked for. */
const PER_UNIT = 256;
const FALL = Float64Array.from({ length: PER_UNIT * (REACH_SIGMA * REACH_SIGMA + 1) }, (_, k) =>
  Math.exp(-k / PER_UNIT),
);

/** e^(−slope·(k − centre)²) for k = from … to, within {@link REACH_SIGMA} of the centre: within 2e-6 of 1, from a table. */
function fillWeights(weights: Float64Array, from: number, to: number, centre: number, slope: number): void {
  const scale = slope * PER_UNIT;
  for (let k = from; k <= to; k++) {
    const at = scale * (k - centre) * (k - centre);
    const low = at | 0;
    const value = FALL[low]!;
    weights[k - from] = value + (FALL[low + 1]! - value) * (at - low);
  }
}

/**
 * Heat per area at a point once every cell's heat has spread to a Gaussian of these variances, J/mm². Cells are no
 * wider than a σ here, so that adding them up is as good as an integral.
 */
export function densityAt(cells: HeatCells, xMm: number, yMm: number, varX: number, varY: number): number {
  const { cellMm, tileX0, tileY0, tilesX, tilesY, tileAt, heatJ } = cells;
  const x = xMm / cellMm - 0.5;
  const y = yMm / cellMm - 0.5;
  const reachX = Math.min(MOST_CELLS / 2 - 1, (REACH_SIGMA * Math.sqrt(varX)) / cellMm);
  const reachY = Math.min(MOST_CELLS / 2 - 1, (REACH_SIGMA * Math.sqrt(varY)) / cellMm);
  const i0 = Math.max(tileX0 << TILE_BITS, Math.ceil(x - reachX));
  const i1 = Math.min(((tileX0 + tilesX) << TILE_BITS) - 1, Math.floor(x + reachX));
  const j0 = Math.max(tileY0 << TILE_BITS, Math.ceil(y - reachY));
  const j1 = Math.min(((tileY0 + tilesY) << TILE_BITS) - 1, Math.floor(y + reachY));
  if (i0 > i1 || j0 > j1) return 0;
  fillWeights(weightX, i0, i1, x, (cellMm * cellMm) / (2 * varX));
  fillWeights(weightY, j0, j1, y, (cellMm * cellMm) / (2 * varY));
  let sum = 0;
  for (let tj = j0 >> TILE_BITS; tj <= j1 >> TILE_BITS; tj++) {
    const jFrom = Math.max(j0, tj << TILE_BITS);
    const jTo = Math.min(j1, (tj << TILE_BITS) + TILE - 1);
    const tileRow = (tj - tileY0) * tilesX - tileX0;
    for (let ti = i0 >> TILE_BITS; ti <= i1 >> TILE_BITS; ti++) {
      const at = tileAt[tileRow + ti]!;
      if (at < 0) continue;
      const iFrom = Math.max(i0, ti << TILE_BITS);
      const count = Math.min(i1, (ti << TILE_BITS) + TILE - 1) - iFrom + 1;
      const first = iFrom - i0;
      let row = at + ((jFrom & (TILE - 1)) << TILE_BITS) + (iFrom & (TILE - 1));
      for (let j = jFrom; j <= jTo; j++, row += TILE) {
        let across = 0;
        for (let k = 0; k < count; k++) across += weightX[first + k]! * heatJ[row + k]!;
        sum += across * weightY[j - j0]!;
      }
    }
  }
  return sum / (2 * Math.PI * Math.sqrt(varX * varY));
}
