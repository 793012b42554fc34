/** A number with its unit and the mark after it, a length of time as a whole: what no line end may tear apart. */
const QUANTITY =
  /([+−-]?\d[\d.]* (?:h \d+ min|min \d+ s|mm\/min|mm\/s²?|mm[²³]?|cm|m|J\/mm[²³]?|J|W|%|ms|min|s|h|times)(?![\w/²³])[,.;:]?)/;

/** A sentence in which numbers keep their units beside them. */
export function Kept({ children }: { readonly children: string }) {
  return (
    <>
      {children.split(QUANTITY).map((part, k) =>
        // Split by a group, every second part is what the group caught.
        k % 2 === 1 ? (
          <span key={k} class="kept">
            {part}
          </span>
        ) : (
          part
        ),
      )}
    </>
  );
}
