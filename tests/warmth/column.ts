/**
 * A column of wood under a short flash of light, as an oracle for what the model keeps simple: heat conducted in
 * depth, light absorbed as e^(−z/δ)/δ, water that boils off, charring by Arrhenius, gas that carries heat away,
 * radiation from the surface. Our own numerical model, by explicit finite volumes; no published source measures
 * this at 450 nm and milliseconds. mm, s, J, K.
 */
export interface Column {
  readonly conductivityWPerMmK: number;
  readonly volumetricJPerMm3K: number;
  /** Of bare wood, and of char. */
  readonly absorptance: number;
  readonly charAbsorptance: number;
  readonly depthMm: number;
  /** Heat that boils the water of dry-to-the-touch wood, J/mm³. */
  readonly waterJPerMm3: number;
  /** Heat that leaves with the gases of charring, J/mm³ of wood. */
  readonly gasJPerMm3: number;
  readonly activationJPerMol: number;
  readonly ratePerS: number;
  readonly emissivity: number;
}

/** Poplar: 9 % water at 2.26 MJ/kg of 413 kg/m³ dry; charring as given; 0.9 of a black body. */
export const POPLAR: Column = {
  conductivityWPerMmK: 1.2e-4,
  volumetricJPerMm3K: 7.65e-4,
  absorptance: 0.55,
  charAbsorptance: 0.9,
  depthMm: 0.15,
  waterJPerMm3: 0.084,
  gasJPerMm3: 0.5,
  activationJPerMol: 126_000,
  ratePerS: 7e7,
  emissivity: 0.9,
};

const ROOM_K = 293;
const BOILING_K = 373;
const GAS_CONSTANT = 8.314;
/** Stefan–Boltzmann, W/(mm²·K⁴). */
const BLACK_BODY = 5.67e-14;
const CELL_MM = 0.01;
const CELLS = 250;

interface State {
  readonly temperatureK: Float64Array;
  /** What is left to boil, J/mm³. */
  readonly waterJ: Float64Array;
  readonly char: Float64Array;
}

export function fresh(column: Column, warmerK = 0): State {
  return {
    temperatureK: new Float64Array(CELLS).fill(ROOM_K + warmerK),
    waterJ: new Float64Array(CELLS).fill(column.waterJPerMm3),
    char: new Float64Array(CELLS),
  };
}

/** How far the skin is charred, weighted as light is absorbed. */
function skinOf(char: Float64Array, depthMm: number): number {
  let sum = 0;
  for (let i = 0; i < 60; i++) sum += char[i]! * Math.exp((-i * CELL_MM) / depthMm);
  return (sum * CELL_MM) / depthMm;
}

/** One step of `dtS` with `wattsPerMm2` falling on the surface. */
function step(state: State, column: Column, wattsPerMm2: number, dtS: number): void {
  const { temperatureK: T, waterJ, char } = state;
  const { conductivityWPerMmK: k, volumetricJPerMm3K: c } = column;
  let inflow = -column.emissivity * BLACK_BODY * (T[0]! ** 4 - ROOM_K ** 4);
  let lit = 1;
  const skinChar = skinOf(char, column.depthMm);
  const absorptance = column.absorptance + (column.charAbsorptance - column.absorptance) * skinChar;
  const fade = Math.exp(-CELL_MM / column.depthMm);
  for (let i = 0; i < CELLS; i++) {
    const outflow = i + 1 < CELLS ? (k * (T[i]! - T[i + 1]!)) / CELL_MM : 0;
    const light = absorptance * wattsPerMm2 * lit * (1 - fade);
    lit *= fade;
    let t = T[i]! + ((inflow - outflow + light) * dtS) / (CELL_MM * c);
    inflow = outflow;
    if (t > BOILING_K && waterJ[i]! > 0) {
      const boiled = Math.min(waterJ[i]!, (t - BOILING_K) * c);
      waterJ[i] = waterJ[i]! - boiled;
      t -= boiled / c;
    }
    if (t > 550 && char[i]! < 1) {
      const rate = column.ratePerS * Math.exp(-column.activationJPerMol / (GAS_CONSTANT * t));
      // Charring takes its heat as it goes, so no step may char more than its heat pays for.
      const wanted = (1 - char[i]!) * (1 - Math.exp(-rate * dtS));
      const paid = column.gasJPerMm3 > 0 ? Math.min(wanted, ((t - 550) * c) / column.gasJPerMm3) : wanted;
      char[i] = char[i]! + paid;
      t -= (paid * column.gasJPerMm3) / c;
    }
    T[i] = t;
  }
}

/** A flash of `doseJPerMm2` over `flashS`, then dark up to `untilS`. */
export function fire(
  state: State,
  column: Column,
  doseJPerMm2: number,
  flashS: number,
  untilS: number,
): void {
  const shortS = 2e-5;
  const longS = (0.4 * CELL_MM * CELL_MM * column.volumetricJPerMm3K) / column.conductivityWPerMmK;
  const n = Math.ceil(flashS / shortS);
  for (let i = 0; i < n; i++) step(state, column, doseJPerMm2 / flashS, flashS / n);
  for (let t = 0; t < 0.02; t += shortS) step(state, column, 0, shortS);
  for (let t = 0.02; t < untilS; t += longS) step(state, column, 0, longS);
}

/** Charred wood, mm. */
export const charMm = ({ char }: State): number => char.reduce((sum, c) => sum + c, 0) * CELL_MM;

/** Sensible heat left, J/mm². */
export const heatLeft = ({ temperatureK }: State, column: Column): number =>
  temperatureK.reduce((sum, t) => sum + t - ROOM_K, 0) * CELL_MM * column.volumetricJPerMm3K;

/** The dose of each of `firings` that chars `wantedMm` in all; between them the wood has cooled, but stays dry. */
export function doseFor(wantedMm: number, column: Column, firings: number, warmerK = 0): number {
  let [low, high] = [0.01, 3];
  for (let k = 0; k < 13; k++) {
    const dose = Math.sqrt(low * high);
    const state = fresh(column, warmerK);
    for (let n = 0; n < firings; n++) {
      fire(state, column, dose, 0.003, 0.3);
      state.temperatureK.fill(ROOM_K + warmerK);
    }
    if (charMm(state) < wantedMm) low = dose;
    else high = dose;
  }
  return Math.sqrt(low * high);
}
