/**
 * Text in a picture: escaped for SVG, measured, cut and wrapped. The measure is the advance widths of Source
 * Sans 3 Regular (thousandths of the size, from its `hmtx` table), the typeface the pictures are set in;
 * kerning is left out, so real text is a little narrower. In another typeface the pictures still work, with
 * other gaps.
 */
export const TYPEFACE = 'Source Sans 3';

/** U+0020 … U+007E. */
const ASCII_ADVANCES = [
  200, 289, 426, 497, 497, 824, 609, 249, 303, 303, 418, 497, 249, 311, 249, 350, 497, 497, 497, 497, 497,
  497, 497, 497, 497, 497, 249, 249, 497, 497, 497, 425, 847, 543, 588, 571, 615, 527, 494, 617, 652, 263,
  479, 579, 486, 727, 647, 664, 566, 664, 569, 534, 536, 645, 515, 786, 513, 476, 539, 303, 350, 303, 497,
  500, 542, 504, 553, 456, 555, 496, 292, 504, 544, 246, 247, 495, 255, 829, 547, 542, 555, 555, 347, 419,
  338, 544, 467, 719, 446, 467, 425, 303, 241, 303, 497,
];
const OTHER_ADVANCES: Readonly<Record<string, number>> = {
  '×': 497,
  '·': 249,
  '²': 367,
  '–': 480,
  '−': 497,
  '…': 948,
};
/** A letter the table lacks: about a wide capital, so that it is never measured too short. */
const UNKNOWN_ADVANCE = 680;
const WIDE_ADVANCE = 1000;
/** The semi-bold is this much wider on average, and no letter is much wider than that in a line of text. */
const BOLD_FACTOR = 1.045;

/** The width of one line in pixels at `sizePx`. */
export function textWidthPx(text: string, sizePx: number, bold = false): number {
  let advance = 0;
  for (const character of text) {
    const code = character.codePointAt(0)!;
    advance +=
      ASCII_ADVANCES[code - 0x20] ??
      OTHER_ADVANCES[character] ??
      (code >= 0x2e80 ? WIDE_ADVANCE : UNKNOWN_ADVANCE);
  }
  return (advance / 1000) * sizePx * (bold ? BOLD_FACTOR : 1);
}

/** The text, or as much of it as fits `widthPx` with an ellipsis at the end. */
export function cutToWidth(text: string, widthPx: number, sizePx: number, bold = false): string {
  if (textWidthPx(text, sizePx, bold) <= widthPx) return text;
  const characters = [...text];
  while (characters.length > 0 && textWidthPx(characters.join('') + '…', sizePx, bold) > widthPx)
    characters.pop();
  return characters.join('').trimEnd() + '…';
}

/** The text in lines no wider than `widthPx`, broken at spaces; a word longer than a line is cut. */
export function wrapToWidth(text: string, widthPx: number, sizePx: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/).filter((part) => part !== '')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && textWidthPx(longer, sizePx) > widthPx) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  if (line !== '') lines.push(line);
  return lines.map((each) => cutToWidth(each, widthPx, sizePx));
}

const MARKUP: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

/** The text as SVG content: markup escaped, characters that XML forbids shown as a replacement mark. */
export const escaped = (text: string): string =>
  text
    .replace(/\p{Surrogate}/gu, '\ufffd')
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what XML 1.0 forbids
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, '\ufffd')
    .replace(/[&<>"]/g, (mark) => MARKUP[mark]!);
