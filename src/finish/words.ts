import { mmWords } from '../findings/phrases.ts';
import { leastOf } from '../lists.ts';
import { hundredthsWords, partWords } from '../sure/words.ts';
import { lengthWords, numberWords } from '../words.ts';
import type { Finish, LeftToCut } from './finish.ts';

/** From this many times its doubt on, what was told does not go with the forecast. */
const SURPRISING = 2;

/** What is left of a cut and what finishes it: *Reached 1.6 of 4 mm with 2 passes; 4 more make it 19 of 20 …* */
export function leftSentences(left: LeftToCut, sure: number): string[] {
  const { operation, passesBurned, passes, chanceWithOneLess } = left;
  const burned = passesBurned === 1 ? 'in one pass' : `in ${passesBurned} passes`;
  const more = passes === 1 ? 'One more pass makes' : `${passes} more passes make`;
  const fewer = passes > 1 ? `, one fewer comes through on ${hundredthsWords(chanceWithOneLess, sure)}` : '';
  const sentences = [
    `Operation ${operation} ${reachedWords(left)} ${burned}. ${more} it ${partWords(sure)}, now that this is known${fewer}.`,
  ];
  const surprise = surpriseSentence(left);
  if (surprise) sentences.push(surprise);
  if (left.isStepped) {
    sentences.push(
      `The passes of operation ${operation} go down step by step; all of them are burned again from the top, so that none is left out.`,
    );
  }
  return sentences;
}

function reachedWords({ reachedMm, uncutMm, thicknessMm }: LeftToCut): string {
  if (reachedMm !== null) return `reached ${numberWords(reachedMm, 2)} of ${mmWords(thicknessMm)}`;
  return uncutMm === null
    ? 'did not come through'
    : `came through but for ${lengthWords(uncutMm)} of its path`;
}

/** Said where what was told lies beyond what the profiles leave open. */
function surpriseSentence({ surprise, operation }: LeftToCut): string | null {
  if (Math.abs(surprise) < SURPRISING) return null;
  return surprise < 0
    ? `Operation ${operation} reached far less than the profiles of machine and wood have it: look at the lens, the focus and the air, and whether the board is as thick as was said.`
    : `Operation ${operation} reached far more than the profiles of machine and wood have it: look whether machine, wood and board are those that were said.`;
}

/** What must hold before the finishing job is started. */
export function beforeItStarts({ left, loose }: Finish): string[] {
  const reached = left.map(({ reachedMm }) => reachedMm).filter((mm) => mm !== null);
  const [{ thicknessMm }] = left as [LeftToCut];
  const middle =
    reached.length > 0
      ? `${numberWords((leastOf(reached) + thicknessMm) / 2, 2)} mm below the top of the board, the middle of what is left,`
      : 'into the middle of what is left';
  return [
    ...loose.map(
      ({ operation, within }) =>
        `Operation ${operation} burns inside an outline of operation ${within}, which is taken to be through: the part lies loose there. Hold it with tape just where it was; if it has moved, do not burn it again.`,
    ),
    'The board must not have moved: the job goes by the same origin, and a cut beside the first is worse than none. If it was unclamped, or the machine was switched off or homed anew, trace the outline with the beam off first.',
    left.some(({ isStepped }) => isStepped)
      ? 'Begin with the focus where the first job began: this one lowers the head as that one did, and its passes are counted for that.'
      : `Leave the focus where it was: the passes are counted for that. If the head can be lowered without moving it sideways, ${middle} spares light (common practice).`,
    'Let it cool and look into the cut: char in it can glow. Take away what has come loose, and keep watch; a slot that is burned again catches fire more easily than bare wood.',
  ];
}
