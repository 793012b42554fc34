import { burnsAtFeed, isLitAtRest } from './beam-on.ts';
import { type Block, bits, letterIndex, lettersOf } from './block.ts';
import { FIRST_SYSTEM, RAPID } from './codes.ts';
import { leaveOut } from './notes.ts';
import { POWER_OFF, type Program } from './program.ts';
import type { Point, State } from './state.ts';

/**
 * Words after which the same X and Y are another place on the piece, without the job telling which: a further axis that
 * turns or moves the piece, and another coordinate system. As long as all is burned in one place of them they change
 * nothing; what is burned before and after such a word lies otherwise than shown.
 */

const AXES = 'ABCUVW';
const AXES_BITS = bits(AXES);

export const pointOf = ({ moves, stops }: State): Point => ({ moves: moves.count, stops: stops.count });

/** Takes up where the words of a block send further axes. @param before how far the program was before it moved. */
export function moveFurther(state: State, block: Block, unused: number, before: Point): void {
  const { elsewhere, power } = state;
  for (const letter of lettersOf(unused & block.has & AXES_BITS)) {
    const was = elsewhere.at.get(letter) ?? 0;
    const value = block.value[letterIndex(letter)]!;
    const now = state.absolute ? value : was + value;
    if (now === was) continue;
    elsewhere.at.set(letter, now);
    if (state.motion !== RAPID && power.mode !== POWER_OFF && power.level > 0) elsewhere.lit.add(letter);
    const moved = elsewhere.moved.get(letter) ?? [];
    const last = moved.at(-1);
    if (last?.moves !== before.moves || last.stops !== before.stops) moved.push(before);
    elsewhere.moved.set(letter, moved);
  }
}

/** G92: where a further axis stands gets another coordinate. */
export function renameFurther({ elsewhere }: State, block: Block): void {
  for (const letter of lettersOf(block.has & AXES_BITS))
    elsewhere.at.set(letter, block.value[letterIndex(letter)]!);
}

export function chooseSystem(state: State, code: number, line: number): void {
  state.elsewhere.systems.push({ ...pointOf(state), code, line });
}

/** Tells, at the end of a program, which of these words part what is burned. */
export function tellElsewhere(state: State): void {
  tellFurtherAxes(state);
  tellSystems(state);
}

function tellFurtherAxes(state: State): void {
  const { elsewhere, notes } = state;
  const burned = burnedFromTo(state);
  for (const [letter, moved] of elsewhere.moved) {
    const parts = moved.some(
      ({ moves, stops }) =>
        (burned.firstMove < moves || burned.firstStop < stops) &&
        (burned.lastMove >= moves || burned.lastStop >= stops),
    );
    const known = notes.leftOut.get(letter);
    if (!known || !(parts || elsewhere.lit.has(letter))) continue;
    Object.assign(known, {
      severity: 'stop',
      effect:
        'an axis that turns or moves the piece while it is burned or in between, so that all comes to lie elsewhere than ' +
        'shown, and takes another time',
      instead: `export the job anew without ${letter} if the piece lies flat (in this one ${letter} must stay, else all is burned on one place)`,
    });
  }
}

/** The first and the last move, and rest, that burns. */
function burnedFromTo({ moves, stops }: State) {
  const isDot = (k: number): boolean => stops.dwellS[k]! > 0 && isLitAtRest(stops, k, false);
  const range = (count: number, burns: (k: number) => boolean): [number, number] => {
    let first = 0;
    let last = count - 1;
    while (first < count && !burns(first)) first++;
    while (last >= 0 && !burns(last)) last--;
    return [first === count ? Infinity : first, last];
  };
  const [firstMove, lastMove] = range(moves.count, (k) => burnsAtFeed(moves, k));
  const [firstStop, lastStop] = range(stops.count, isDot);
  return { firstMove, lastMove, firstStop, lastStop };
}

function tellSystems(state: State): void {
  const { moves, notes, elsewhere } = state;
  const systems = [{ code: FIRST_SYSTEM, line: 1, moves: 0, stops: 0 }, ...elsewhere.systems];
  const burned = systems.filter(({ moves: from }, k) => {
    const to = systems[k + 1]?.moves ?? moves.count;
    for (let i = from; i < to; i++) if (burnsAtFeed(moves, i)) return true;
    return false;
  });
  const first = burned[0]?.code;
  const others = burned.filter(({ code }) => code !== first);
  for (const { code, line } of others) {
    leaveOut(notes, line, `G${code / 10}`, {
      severity: 'stop',
      effect:
        `what is burned in it lies as far from what is burned in G${first! / 10} as their origins do on the machine, which the ` +
        'job does not tell; both are shown from one origin',
      instead: 'export the job anew in one coordinate system, or what lies in each as a job of its own',
    });
  }
  if (others.length > 0) notes.understood.delete(SYSTEM_TOPIC);
}

/** What is understood of a coordinate system. */
export const SYSTEM_TOPIC = 'coordinate system';

/** The further axes that turn or move the piece while it is burned or in between: nothing is known of that wood. */
export const turningAxes = ({ notSimulated }: Pick<Program, 'notSimulated'>): string[] =>
  notSimulated
    .filter(({ word, severity }) => severity === 'stop' && word.length === 1 && AXES.includes(word))
    .map(({ word }) => word);
