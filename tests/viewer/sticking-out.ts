/**
 * What sticks out: runs in the page. Every run of text and every field that is seen must lie within the block
 * that holds it, and that within its panel and the window. Returns one line for each that does not.
 */
export function stickingOut(): string[] {
  const found = new Set<string>();
  /** Rounding of positions to whole pixels is forgiven. */
  const slack = 1;
  const say = (what: string, by: number) =>
    found.add(`${what.trim().replace(/\s+/g, ' ').slice(0, 60)}: by ${by.toFixed(0)} px`);
  const blockOf = (element: Element): Element => {
    let at = element;
    while (getComputedStyle(at).display.startsWith('inline') && at.parentElement) at = at.parentElement;
    return at;
  };
  const check = (what: string, box: DOMRect, holder: Element) => {
    if (box.width === 0 || box.height === 0) return;
    if (holder.closest('[hidden], .hidden, svg, option, .head-tag, .point-tag')) return;
    const block = blockOf(holder);
    const { left, right } = block.getBoundingClientRect();
    const over = Math.max(box.right - right, left - box.left, box.right - innerWidth, -box.left);
    if (over > slack) say(what, over);
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (!node.textContent?.trim() || !node.parentElement?.checkVisibility()) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) check(node.textContent, box, node.parentElement);
  }
  for (const field of document.querySelectorAll<HTMLElement>('input, button, canvas, table, figure')) {
    if (!field.checkVisibility()) continue;
    check(
      field.getAttribute('aria-label') ?? field.className,
      field.getBoundingClientRect(),
      field.parentElement!,
    );
    if (field instanceof HTMLInputElement && field.type === 'text' && field.scrollWidth > field.clientWidth)
      say(`${field.value} in its field`, field.scrollWidth - field.clientWidth);
  }
  for (const panel of document.querySelectorAll(
    'html, .page, .learn, header, .strip, .view-words, p, li, td, th, figure',
  )) {
    const by = panel.scrollWidth - panel.clientWidth;
    if (
      by > slack &&
      panel.checkVisibility() &&
      panel.clientWidth > 1 &&
      getComputedStyle(panel).display !== 'inline'
    )
      say(`<${panel.tagName.toLowerCase()} ${panel.className}>`, by);
  }
  return [...found];
}
