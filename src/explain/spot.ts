import { beamQuality, defocus, meanWidthMm, peakIntensityWPerMm2, spotAreaMm2 } from '../laser/spot.ts';
import type { Machine } from '../machine/profile.ts';
import { numberWords } from '../words.ts';
import type { Say, Sentence } from './sentence.ts';

const SHAPE = {
  gaussian: 'Gaussian',
  'uniform-ellipse': 'evenly lit, oval',
  'uniform-rectangle': 'evenly lit, square',
};

/** The spot in focus and out of it. */
export function spotSentences(machine: Machine, say: Say): Sentence[] {
  const { spot, laser } = machine;
  const [w, h] = spot.width_mm;
  const size = w === h ? `${numberWords(w)} mm wide` : `${numberWords(w)} × ${numberWords(h)} mm`;
  const turned = spot.rotation_deg === 0 || w === h ? '' : `, turned by ${numberWords(spot.rotation_deg)}°`;
  const peak = Number(peakIntensityWPerMm2(spot, laser.optical_power_w).toPrecision(2));
  return [
    say(
      `It is ${SHAPE[spot.shape]}, ${size}${turned}: ${numberWords(spotAreaMm2(spot), 2)} mm².`,
      'spot.shape',
      'spot.width_mm',
    ),
    say(
      `At full power its middle gets ${numberWords(peak, 2)} W/mm².`,
      'laser.optical_power_w',
      'spot.width_mm',
    ),
    say(`Its focus is at the height z = ${numberWords(spot.focus_z_mm)} mm of the head.`, 'spot.focus_z_mm'),
    ...focusSentences(machine, say),
  ];
}

/** How far out of focus makes the spot a tenth wider: √(1 + t²) = 1.1. */
const TENTH_WIDER = Math.sqrt(1.1 * 1.1 - 1);

function focusSentences({ spot, laser }: Machine, say: Say): Sentence[] {
  const { rayleigh_mm: rayleigh } = spot;
  if (rayleigh === null) {
    return [
      say(
        'How fast it widens out of focus is not given (rayleigh_mm), so moves along z leave its width as it is.',
        'spot.rayleigh_mm',
      ),
    ];
  }
  const boardMm = 4;
  const behind = defocus(spot, spot.focus_z_mm - boardMm);
  const quality = beamQuality(spot, laser.wavelength_nm)!;
  const sentences = [
    say(
      `Up to ${numberWords(TENTH_WIDER * rayleigh, 2)} mm out of focus it stays within a tenth of its width; ${numberWords(rayleigh, 2)} mm out it is 1.41 times as wide, and ${boardMm} mm out, as at the back of a board of ${boardMm} mm, ${numberWords(behind, 3)} times (${numberWords(behind * meanWidthMm(spot), 2)} mm).`,
      'spot.rayleigh_mm',
      'spot.width_mm',
    ),
  ];
  const words = `Width and rayleigh_mm together mean a beam quality M² of ${numberWords(quality, 2)}`;
  sentences.push(
    quality < 1
      ? {
          ...say(
            `${words}, but no beam of ${numberWords(laser.wavelength_nm, 4)} nm can be below 1: the spot is wider than given, or rayleigh_mm shorter.`,
            'spot.rayleigh_mm',
            'spot.width_mm',
            'laser.wavelength_nm',
          ),
          isDoubtful: true,
        }
      : say(`${words}.`, 'spot.rayleigh_mm', 'spot.width_mm', 'laser.wavelength_nm'),
  );
  return sentences;
}
