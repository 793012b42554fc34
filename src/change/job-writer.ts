import type { Reading } from '../program/read.ts';
import type { LineTable } from './line-table.ts';
import { editedLine, findWord, setWord, startEdit, takeOut } from './line-words.ts';

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
  finish(): { text: string; lineCount: number };
}

const CHECKED_LINES = /^[ \t]*N[ \t]*\d+[^;(\r\n]*\*[ \t]*\d+/im;

export function startPaper(text: string, table: LineTable, reading: Reading, gap: string): Paper {
  const { start, end, count: lines } = table;
  const pieces: string[] = [text.slice(0, start[0])]; // a byte-order mark
  const isChecked = CHECKED_LINES.test(text);
  const lineEnd = lines > 1 ? text.slice(end[0], start[1]) : text.slice(end[0]) || '\n';
  let count = 0;
  let number = 0; // the last line number written
  let shift = 0; // by how much numbers have moved on
  let owesEnd = false; // the last line written has no line end
  // A stretch of the job's text that has been written as it stands, but is not yet among the pieces.
  let copiedFrom = 0;
  let copiedTo = 0;

  const settle = () => {
    if (copiedTo > copiedFrom) pieces.push(text.slice(copiedFrom, copiedTo));
    copiedFrom = copiedTo = 0;
  };
  const write = (content: string, ending: string) => {
    settle();
    reading.line(content, 0, content.length, ++count);
    pieces.push(owesEnd ? lineEnd + content : content);
    if (!owesEnd) pieces.push(ending);
    owesEnd ||= ending === '';
  };
  const endOf = (line: number) => text.slice(end[line - 1], line < lines ? start[line] : undefined);

  /** The content with the number that is due on it. */
  const numbered = (content: string, line: number, again: boolean): string => {
    if (!/N[ \t]*\d/i.test(content) || (!isChecked && !again)) return content;
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
      const from = start[line - 1]!;
      const to = end[line - 1]!;
      if (content === null && !again && !isChecked && !owesEnd) {
        if (copiedTo !== from) {
          settle();
          copiedFrom = from;
        }
        copiedTo = line < lines ? start[line]! : text.length;
        owesEnd = copiedTo === to;
        reading.line(text, from, to, ++count);
        return;
      }
      write(numbered(content ?? text.slice(from, to), line, again), endOf(line) || (again ? lineEnd : ''));
    },
    newLine(content) {
      if (!isChecked) return write(content, lineEnd);
      const edit = startEdit(`N${++number} ${content}*0`, 0, gap);
      shift++;
      setWord(edit, 'N', String(number));
      write(editedLine(edit), lineEnd);
    },
    leaveOut(line) {
      const content = text.slice(start[line - 1], end[line - 1]);
      if (isChecked && findWord(startEdit(content, line, gap), 'N') >= 0) shift--;
    },
    finish() {
      settle();
      return { text: pieces.join(''), lineCount: count };
    },
  };
}
