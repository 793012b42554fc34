import { readPiece } from '../../src/piece/read-piece.ts';
import { farthestOff, forecastOf, photoOfPiece, pieces } from './pieces.ts';

/** The proof at length: `npx tsx tests/piece/fifty.ts 50` says how many photos lie within half a millimetre of the truth. */

const count = Number(process.argv[2] ?? 50);
/** Numbers of the photos that are to be tried alone. */
const only = process.argv.slice(3).map(Number);
const off: number[] = [];
let refused = 0;
for (let k = 0; k < count; k++) {
  if (only.length > 0 && !only.includes(k)) continue;
  const piece = pieces[k % pieces.length]!;
  const expected = forecastOf(piece);
  // Every second one through a lens that bends.
  const lens = k % 2 === 1 ? { lens: [-0.06 + 0.03 * (k % 5), 0.01] as const } : {};
  const { photo, camera } = photoOfPiece(piece, k, lens);
  try {
    const { registered } = readPiece(photo, expected);
    const mm = farthestOff(piece, expected, camera, registered.view);
    off.push(mm);
    if (mm > 0.5)
      console.log(
        `${k}, ${piece.name}: ${mm.toFixed(2)} mm off, correlation ${registered.correlation.toFixed(2)}`,
      );
  } catch (error) {
    refused++;
    console.log(`${k}, ${piece.name}: ${(error as Error).message}`);
  }
}
const sorted = off.toSorted((a, b) => a - b);
const within = off.filter((mm) => mm <= 0.5).length;
console.log(
  `${within} of ${count} within 0.5 mm; median ${sorted[Math.floor(sorted.length / 2)]?.toFixed(2)}, farthest ${sorted.at(-1)?.toFixed(2)} mm; ${refused} refused`,
);
