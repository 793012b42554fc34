const ENTITIES: Record<string, string> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text as HTML text or as a quoted attribute: file names, comments and profile names are whatever people wrote. */
export const escapeHtml = (text: string): string => text.replace(/[&<>"']/g, (sign) => ENTITIES[sign]!);

/** HTML that needs no more escaping. */
export class Html {
  constructor(readonly text: string) {}
}

type Part = string | number | Html | null | readonly Html[];

/** A template whose holes are escaped, unless they are {@link Html} themselves; null gives nothing. */
export function html(strings: TemplateStringsArray, ...parts: Part[]): Html {
  const fill = (part: Part): string => {
    if (part === null) return '';
    if (part instanceof Html) return part.text;
    if (typeof part === 'object') return part.map((each) => each.text).join('');
    return escapeHtml(String(part));
  };
  return new Html(
    strings.map((string, k) => (k < parts.length ? string + fill(parts[k]!) : string)).join(''),
  );
}
