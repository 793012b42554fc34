import type { Machine } from '../machine/profile.ts';
import { msToS } from '../units.ts';
import { numberWords, percentWords } from '../words.ts';
import type { Say, Sentence } from './sentence.ts';

/** What the beam does when it is told. */
export function beamSentences(machine: Machine, say: Say): Sentence[] {
  const { laser, max_speed_mm_s: top } = machine;
  const sentences = [
    say(`It gives up to ${numberWords(laser.optical_power_w)} W of light.`, 'laser.optical_power_w'),
    say(`Its wavelength is ${numberWords(laser.wavelength_nm, 4)} nm.`, 'laser.wavelength_nm'),
    say(`S${laser.s_max} is full power.`, 'laser.s_max'),
    laser.power_levels === null
      ? say('It follows S without steps.', 'laser.power_levels')
      : say(
          `It knows ${laser.power_levels} levels of power: a step is ${percentWords(1 / laser.power_levels)}, or ${numberWords(laser.s_max / laser.power_levels)} of S.`,
          'laser.power_levels',
        ),
    laser.threshold_fraction === 0
      ? say('It lights from the smallest S.', 'laser.threshold_fraction')
      : say(
          `Below ${percentWords(laser.threshold_fraction)} of full power (S${numberWords(laser.threshold_fraction * laser.s_max)}) it stays dark.`,
          'laser.threshold_fraction',
        ),
  ];
  const lagMm = top[0] * msToS(laser.rise_time_ms);
  sentences.push(
    laser.rise_time_ms === 0
      ? say('It rises and falls at once.', 'laser.rise_time_ms')
      : say(
          `It follows its command with a lag of ${numberWords(laser.rise_time_ms)} ms: at full speed along x that moves marks by ${numberWords(lagMm)} mm.`,
          'laser.rise_time_ms',
        ),
  );
  const shiftMm = 2 * top[0] * Math.abs(msToS(laser.beam_delay_ms));
  sentences.push(
    laser.beam_delay_ms === 0
      ? say('It is in time with the head.', 'laser.beam_delay_ms')
      : say(
          `It comes ${numberWords(Math.abs(laser.beam_delay_ms))} ms ${laser.beam_delay_ms > 0 ? 'late' : 'early'}: at full speed rows burned to and fro lie ${numberWords(shiftMm)} mm apart.`,
          'laser.beam_delay_ms',
        ),
    laser.m4_power === 'proportional'
      ? say('Under M4 its power follows the speed of the head; under M3 it does not.', 'laser.m4_power')
      : say('Its power never follows the speed of the head: M4 burns like M3.', 'laser.m4_power'),
    laser.fires_on_rapids
      ? say('It stays on in rapids (G0) unless the job switches it off.', 'laser.fires_on_rapids')
      : say('It is dark in rapids (G0).', 'laser.fires_on_rapids'),
    say(
      {
        auto: 'M3, M4 and M5 switch it; in jobs without M3 and M4, M106 and M107 do.',
        M3: 'M3, M4 and M5 switch it.',
        M106: 'M106 and M107 switch it.',
      }[laser.power_words],
      'laser.power_words',
    ),
  );
  return sentences;
}
