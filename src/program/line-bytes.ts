/** How long each line is, for the serial link that carries them: a growing list, index line − 1. */
interface LineBytes {
  bytes: Uint32Array;
}

export const createLineBytes = (): LineBytes => ({ bytes: new Uint32Array(1024) });

/** Notes that `line` (1-based) holds `length` characters and its end. */
export function noteLine(lines: LineBytes, line: number, length: number): void {
  if (line > lines.bytes.length) {
    const longer = new Uint32Array(lines.bytes.length * 2);
    longer.set(lines.bytes);
    lines.bytes = longer;
  }
  lines.bytes[line - 1] = length + 1;
}
