import type { Machine } from '../machine/profile.ts';
import { isGiven } from '../machine/told.ts';
import { doubtsOf } from './doubts.ts';
import { headSentences } from './head.ts';
import { linkSentences } from './link.ts';
import { beamSentences } from './power.ts';
import type { Say, Sentence } from './sentence.ts';
import { spotSentences } from './spot.ts';

/** A machine profile told in sentences, with what follows from it. */
export interface Explanation {
  readonly name: string;
  readonly parts: readonly { readonly heading: string; readonly sentences: readonly Sentence[] }[];
}

/**
 * Explains a machine profile.
 * @param machine the profile with its defaults filled in (`readMachine`)
 * @param file the same profile as it stands in the file, to tell what was defaulted
 */
export function explainMachine(machine: Machine, file: unknown): Explanation {
  const say: Say = (text, ...fields) => ({
    text,
    defaults: fields.filter((field) => !isGiven(file, field)),
  });
  const doubts = doubtsOf(machine).map((doubt) => ({
    text: `It has ${doubt}.`,
    defaults: [],
    isDoubtful: true,
  }));
  return {
    name: machine.name,
    parts: [
      ...(doubts.length > 0 ? [{ heading: 'What looks like a slip', sentences: doubts }] : []),
      { heading: 'The head', sentences: headSentences(machine, say) },
      { heading: 'The link', sentences: linkSentences(machine, say) },
      { heading: 'The beam', sentences: beamSentences(machine, say) },
      { heading: 'The spot', sentences: spotSentences(machine, say) },
      ...(machine.notes.length > 0
        ? [{ heading: 'Notes', sentences: machine.notes.map((note) => say(note)) }]
        : []),
    ],
  };
}
