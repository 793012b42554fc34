import { eachLine } from '../program/lines.ts';
import { type ReadOptions, startReading } from '../program/read.ts';
import { feedNumber } from './fit-line.ts';
import { editedLine, setWord, startEdit } from './line-words.ts';

/**
 * The job with the feed of the options written into it where feed moves have none, so that it can be read without
 * them. Every other byte stays.
 * @param pieces the job's text in pieces of whole lines; as many come back.
 * @throws {InputError} as `readProgram` does.
 */
export function* withFeed(pieces: Iterable<string>, options: ReadOptions): Generator<string> {
  const { feedMmPerS } = options;
  if (!feedMmPerS) {
    yield* pieces;
    return;
  }
  const reading = startReading(options);
  const { state } = reading;
  let lines = 0;
  for (const piece of pieces) {
    const before = lines;
    const made: string[] = [];
    let copied = 0;
    lines += eachLine(piece, (text, from, to, line) => {
      const taken = state.sparesTaken;
      // F comes before a change of units on its line.
      const { mmPerUnit } = state;
      reading.line(text, from, to, before + line);
      if (state.sparesTaken === taken) return;
      // A last line without a line end comes as a text of its own.
      const offset = text === piece ? 0 : piece.length - text.length;
      const edit = startEdit(text.slice(from, to), before + line, ' ');
      setWord(edit, 'F', feedNumber(feedMmPerS, { mmPerUnit }));
      made.push(piece.slice(copied, offset + from), editedLine(edit));
      copied = offset + to;
    });
    yield made.join('') + piece.slice(copied);
  }
  reading.finish(lines);
}
