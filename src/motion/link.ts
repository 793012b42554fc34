import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';

/** A start bit, eight data bits and a stop bit go over the wire for each byte (8N1). */
const BITS_PER_BYTE = 10;

/**
 * When each move reaches the controller. Lines follow one another over the serial link, each with its bytes
 * (line end included) and the acknowledgement for it, no faster than the controller reads lines; empty lines
 * are not sent. A move is taken in only when the look-ahead buffer has room, that is when the move
 * `lookahead_moves` before it has been finished; until then its line waits in the receive buffer, and the
 * one after it is not sent.
 */
interface Link {
  /** When the next move that has not been taken in arrives. */
  arrivalS(): number;
  /** Takes that move in; the link is busy with it until it has arrived. */
  take(): void;
  /** How many moves have been taken in. */
  readonly taken: number;
}

/** How long one line of `bytes` keeps the link busy, s. */
export function lineTimeS(bytes: number, link: NonNullable<Machine['link']>): number {
  if (bytes <= 1) return 0; // nothing but its end
  const wireS = ((bytes + link.ack_bytes) * BITS_PER_BYTE) / link.baud;
  return link.lines_per_second === null ? wireS : Math.max(wireS, 1 / link.lines_per_second);
}

/**
 * @param endS when each move ends, filled in by the planner as it goes: read for moves a buffer's length back.
 */
export function openLink(program: Program, machine: Machine, endS: Float64Array): Link {
  const settings = machine.link!;
  const { moves, lineBytes } = program;
  const slots = machine.lookahead_moves ?? Infinity;
  let taken = 0;
  let freeS = 0; // when the link has carried all it was given
  let carriedLine = 0; // the last line it carried
  let arrivalS = Number.NaN;

  const nextArrivalS = (): number => {
    let carryS = 0;
    for (let line = carriedLine; line < moves.line[taken]!; line++)
      carryS += lineTimeS(lineBytes[line]!, settings);
    const roomS = taken >= slots ? endS[taken - slots]! : 0;
    return Math.max(freeS + carryS, roomS);
  };

  return {
    get taken() {
      return taken;
    },
    arrivalS() {
      if (Number.isNaN(arrivalS)) arrivalS = nextArrivalS();
      return arrivalS;
    },
    take() {
      freeS = this.arrivalS();
      carriedLine = moves.line[taken]!;
      taken++;
      arrivalS = Number.NaN;
    },
  };
}
