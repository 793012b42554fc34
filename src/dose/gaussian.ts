import type { Spot } from '../machine/profile.ts';
import { degToRad, sigmaFromWidthMm } from '../units.ts';
import type { Brush, Canvas } from './brush.ts';
import { addToLane, flushLane, startLane } from './lane.ts';
import { phi, REACH_SIGMA } from './normal.ts';

/**
 * A Gaussian spot as the grid likes it: an axis-aligned Gaussian (σx, σy), and for a turned oblong spot a
 * comb of copies of it.
 *
 * Any covariance [[a, c], [c, b]] is that of an axis-aligned Gaussian with variances a(1−|ρ|), b(1−|ρ|),
 * smeared along the vector (√(a|ρ|), ±√(b|ρ|)) by a one-dimensional Gaussian, ρ = c/√(ab). The comb is that
 * smear as equally spaced copies no more than one σ apart, of the core or of the smear, whichever is less; an
 * equally spaced sum of Gaussians is even to 4·exp(−2π²) < 1e-8 at that spacing (Poisson summation). A short smear is
 * three copies at the nodes of Gauss–Hermite, right in all moments up to the fifth: off by smear⁶/8 at most.
 */
interface GaussianAxes {
  readonly sigmaXMm: number;
  readonly sigmaYMm: number;
  /** Offsets and weights (adding up to 1) of the copies; a single one at (0, 0) when nothing is turned. */
  readonly comb: readonly { readonly dxMm: number; readonly dyMm: number; readonly weight: number }[];
}

/** In σ of the core. */
const SHORT_SMEAR = 0.35;

export function gaussianAxes(spot: Spot, scale: number): GaussianAxes {
  const sigmaU = sigmaFromWidthMm(spot.width_mm[0]) * scale;
  const sigmaV = sigmaFromWidthMm(spot.width_mm[1]) * scale;
  const turn = degToRad(spot.rotation_deg);
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const a = sigmaU * sigmaU * cos * cos + sigmaV * sigmaV * sin * sin;
  const b = sigmaU * sigmaU * sin * sin + sigmaV * sigmaV * cos * cos;
  const c = (sigmaU * sigmaU - sigmaV * sigmaV) * sin * cos;
  const rho = c / Math.sqrt(a * b);
  const turned = Math.abs(rho);
  if (turned < 1e-9)
    return { sigmaXMm: Math.sqrt(a), sigmaYMm: Math.sqrt(b), comb: [{ dxMm: 0, dyMm: 0, weight: 1 }] };

  const sigmaXMm = Math.sqrt(a * (1 - turned));
  const sigmaYMm = Math.sqrt(b * (1 - turned));
  const smear = Math.sqrt(turned / (1 - turned)); // length of the smear in σ of the core, on either axis
  const tooth = (t: number, weight: number) => ({
    dxMm: Math.sqrt(a * turned) * t, // t in σ of the smear
    dyMm: Math.sign(rho) * Math.sqrt(b * turned) * t,
    weight,
  });
  const root = Math.sqrt(3);
  if (smear < SHORT_SMEAR)
    return { sigmaXMm, sigmaYMm, comb: [tooth(-root, 1 / 6), tooth(0, 2 / 3), tooth(root, 1 / 6)] };
  const step = Math.min(1, 1 / smear);
  const half = Math.ceil(REACH_SIGMA / step);
  const comb = [];
  for (let k = -half; k <= half; k++) comb.push(tooth(k * step, Math.exp(-((k * step) ** 2) / 2)));
  const sum = comb.reduce((total, { weight }) => total + weight, 0);
  return { sigmaXMm, sigmaYMm, comb: comb.map((each) => ({ ...each, weight: each.weight / sum })) };
}

/** Offset of the two Gauss–Legendre nodes from the middle, as a part of the length. */
const GAUSS_NODE = 0.5 / Math.sqrt(3);
/**
 * How long a piece with two nodes may be, in σ: the error is 3/4320·1.5⁵ < 0.6 % of what one piece adds, at the two
 * ends of a path only; within a path the pieces' errors cancel to 2·exp(−2π²/1.5²) < 4e-4.
 */
const PIECE_SIGMA = 1.5;
/** A stroke this short (in σ) is laid down as one point: the error is (length/σ)²/24 of what it adds. */
const POINT_LIKE = 0.2;

/**
 * The brush of a Gaussian spot. Strokes along x or y go to a lane, which adds up a whole raster row in one
 * dimension in closed form; all others become points at Gauss–Legendre nodes, and each point is the exact cell means of a Gaussian.
 */
export function makeGaussianBrush(canvas: Canvas, axes: GaussianAxes): Brush {
  const { sigmaXMm, sigmaYMm, comb } = axes;
  const stamp = makeStamp(canvas, sigmaXMm, sigmaYMm);
  if (comb.length > 1) {
    const brush = pointBrush(Math.min(sigmaXMm, sigmaYMm), (x, y, energyJ, lnDwell) => {
      for (const { dxMm, dyMm, weight } of comb) stamp(x + dxMm, y + dyMm, energyJ * weight, lnDwell);
    });
    return brush;
  }
  const points = pointBrush(Math.min(sigmaXMm, sigmaYMm), stamp);
  const lane = startLane(canvas, sigmaXMm, sigmaYMm);
  return {
    stroke(stroke, lnDwell) {
      if (stroke.y0 === stroke.y1 || stroke.x0 === stroke.x1) addToLane(lane, stroke, lnDwell);
      else points.stroke(stroke, lnDwell);
    },
    point: points.point,
    flush: () => flushLane(lane),
  };
}

/** A brush that knows only how to lay down points. `grainMm`: how far apart the nodes of a stroke may be. */
export function pointBrush(
  grainMm: number,
  point: (x: number, y: number, energyJ: number, lnDwell: number) => void,
): Brush {
  return {
    stroke({ x0, y0, x1, y1, energyJ }, lnDwell) {
      const dx = x1 - x0;
      const dy = y1 - y0;
      const lengthMm = Math.sqrt(dx * dx + dy * dy);
      if (lengthMm < POINT_LIKE * grainMm) {
        point(x0 + dx / 2, y0 + dy / 2, energyJ, lnDwell);
        return;
      }
      const pieces = Math.ceil(lengthMm / (PIECE_SIGMA * grainMm));
      const half = energyJ / (2 * pieces);
      for (let k = 0; k < pieces; k++) {
        const early = (k + 0.5 - GAUSS_NODE) / pieces;
        const late = (k + 0.5 + GAUSS_NODE) / pieces;
        point(x0 + dx * early, y0 + dy * early, half, lnDwell);
        point(x0 + dx * late, y0 + dy * late, half, lnDwell);
      }
    },
    point,
    flush() {},
  };
}

/**
 * A place that has so many times the dose that one point adds is laid down carefully: what rounding to single precision
 * takes from one cell is given to the next one, a cell's width away. Else where a place is passed ten thousand times,
 * what comes each time is less than a cell can still tell from nothing.
 */
const MANY_TIMES = 2000;

/** Lays one Gaussian at a point: the mean over cell (i, j) is E/h² times a difference of Φ on each axis. */
function makeStamp(canvas: Canvas, sigmaXMm: number, sigmaYMm: number) {
  const { nx, ny, x0Mm, y0Mm, cellMm, dose, doseLnDwell } = canvas;
  const perSigmaX = cellMm / sigmaXMm;
  const perSigmaY = cellMm / sigmaYMm;
  const reachX = REACH_SIGMA / perSigmaX;
  const reachY = REACH_SIGMA / perSigmaY;
  const peakPerMm2 = Math.min(1 / (2 * Math.PI * sigmaXMm * sigmaYMm), 1 / (cellMm * cellMm));
  // Far out of focus the spot is wider than the grid: no more room than the grid has columns.
  const weightX = new Float64Array(Math.min(nx, Math.ceil(2 * reachX) + 2));
  const perArea = 1 / (cellMm * cellMm);

  return (xMm: number, yMm: number, energyJ: number, lnDwell: number): void => {
    const x = (xMm - x0Mm) / cellMm; // in cells from the grid's edge
    const y = (yMm - y0Mm) / cellMm;
    const i0 = Math.max(0, Math.floor(x - reachX));
    const i1 = Math.min(nx - 1, Math.floor(x + reachX));
    const j0 = Math.max(0, Math.floor(y - reachY));
    const j1 = Math.min(ny - 1, Math.floor(y + reachY));
    if (i0 > i1 || j0 > j1) return;

    const first = phi((i0 - x) * perSigmaX);
    let below = first;
    for (let i = i0; i <= i1; i++) {
      const above = phi((i + 1 - x) * perSigmaX);
      weightX[i - i0] = above - below;
      below = above;
    }
    const shareX = below - first;

    const middle = ((j0 + j1) >> 1) * nx + ((i0 + i1) >> 1);
    const carefully = dose[middle]! > MANY_TIMES * energyJ * peakPerMm2;
    let rest = 0;
    let restLnDwell = 0;
    const firstY = phi((j0 - y) * perSigmaY);
    let belowY = firstY;
    for (let j = j0; j <= j1; j++) {
      const aboveY = phi((j + 1 - y) * perSigmaY);
      const scale = energyJ * perArea * (aboveY - belowY);
      belowY = aboveY;
      const row = j * nx;
      if (carefully) {
        for (let i = i0; i <= i1; i++) {
          const add = scale * weightX[i - i0]!;
          rest += dose[row + i]! + add;
          dose[row + i] = Math.max(0, rest); // what is owed to a bare cell stays owed
          rest -= dose[row + i]!;
          restLnDwell += doseLnDwell[row + i]! + add * lnDwell;
          doseLnDwell[row + i] = restLnDwell;
          restLnDwell -= doseLnDwell[row + i]!;
        }
        continue;
      }
      for (let i = i0; i <= i1; i++) {
        const add = scale * weightX[i - i0]!;
        dose[row + i] = dose[row + i]! + add;
        doseLnDwell[row + i] = doseLnDwell[row + i]! + add * lnDwell;
      }
    }
    canvas.depositedJ += energyJ * shareX * (belowY - firstY);
  };
}
