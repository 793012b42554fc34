import type { Reading } from '../program/read.ts';
import type { JobLines, LineTable } from './line-table.ts';
import { editedLine, findWord, setWord, startEdit, takeOut } from './line-words.ts';

/** Takes what is written, piece by piece. */
export type Sink = (piece: string) => void;

/**
 * Where the changed job is written. Every line written is read at once. Lines of the job keep their line ends;
 * new ones get the job's first. Where lines carry numbers and checksums, numbers go on by ones, as the
 * controllers that check them ask.
 */
interface Paper {
  /** A line of the job, as it is or with another content. `again`: it has been written before. */
  jobLine(line: number, content: string | null, again: boolean): void;
  newLine(content: string): void;
  /** A line of the job that is left out. */
  leaveOut(line: number): void;
  /** Hands the rest to the sink. @returns how many lines were written. */
  finish(): number;
}

const CHECKED_LINES = /^[ \t]*N[ \t]*\d+[^;(\r\n]*\*[ \t]*\d+/im;
/** What is written goes to the sink when there are this many characters of it. */
const SHEET = 1 << 20;

export function startPaper(
  lines: JobLines,
  table: LineTable,
  reading: Reading,
  gap: string,
  sink: Sink,
): Paper {
  const { start, end } = table;
  const sheet: string[] = [lines.pieces[0]!.slice(0, start[0])]; // a byte-order mark
  let onSheet = 0;
  const isChecked = lines.pieces.some((piece) => piece.includes('*') && CHECKED_LINES.test(piece));
  const lineEnd = lines.ending(1) || '\n';
  let count = 0;
  let number = 0; // the last line number written
  let shift = 0; // by how much numbers have moved on
  let owesEnd = false; // the last line written has no line end
  // A stretch of a piece of the job that has been written as it stands, but is not yet on the sheet.
  let copied = '';
  let copiedFrom = 0;
  let copiedTo = 0;

  const put = (text: string) => {
    sheet.push(text);
    onSheet += text.length;
    if (onSheet < SHEET) return;
    sink(sheet.join(''));
    sheet.length = onSheet = 0;
  };
  const settle = () => {
    if (copiedTo > copiedFrom) put(copied.slice(copiedFrom, copiedTo));
    copiedFrom = copiedTo = 0;
  };
  const write = (content: string, ending: string) => {
    settle();
    reading.line(content, 0, content.length, ++count);
    put(owesEnd ? lineEnd + content : content + ending);
    if (owesEnd) return;
    owesEnd = ending === '';
  };

  /** The content with the number that is due on it. */
  const numbered = (content: string, line: number, again: boolean): string => {
    if ((!isChecked && !again) || !/N[ \t]*\d/i.test(content)) return content;
    const edit = startEdit(content, line, gap);
    const at = findWord(edit, 'N');
    if (at < 0) return content;
    if (!isChecked) takeOut(edit, ({ letter }) => letter === 'N');
    else if (/M110(?!\d)/i.test(content)) {
      shift = 0;
      number = edit.words[at]!.value;
    } else {
      if (again) shift++;
      number = again ? number + 1 : edit.words[at]!.value + shift;
      if (number !== edit.words[at]!.value) setWord(edit, 'N', String(number));
    }
    return editedLine(edit);
  };

  return {
    jobLine(line, content, again) {
      const piece = lines.piece(line);
      const from = start[line - 1]!;
      const to = end[line - 1]!;
      const ending = lines.ending(line);
      const isPadded = piece.charCodeAt(to) === 0;
      if (content === null && !again && !isChecked && !owesEnd && !isPadded) {
        if (copied !== piece || copiedTo !== from) {
          settle();
          copied = piece;
          copiedFrom = from;
        }
        copiedTo = to + ending.length;
        owesEnd = ending === '';
        reading.line(piece, from, to, ++count);
        return;
      }
      write(numbered(content ?? piece.slice(from, to), line, again), ending || (again ? lineEnd : ''));
    },
    newLine(content) {
      if (!isChecked) return write(content, lineEnd);
      const edit = startEdit(`N${++number} ${content}*0`, 0, gap);
      shift++;
      setWord(edit, 'N', String(number));
      write(editedLine(edit), lineEnd);
    },
    leaveOut(line) {
      if (isChecked && findWord(startEdit(lines.text(line), line, gap), 'N') >= 0) shift--;
    },
    finish() {
      settle();
      sink(sheet.join(''));
      return count;
    },
  };
}
