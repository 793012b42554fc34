/** The buffers anywhere in a value made of plain data and typed arrays. */
export function buffersOf(value: unknown, found = new Set<ArrayBuffer>()): Set<ArrayBuffer> {
  if (ArrayBuffer.isView(value)) {
    if (value.buffer instanceof ArrayBuffer) found.add(value.buffer);
  } else if (Array.isArray(value)) {
    if (typeof value[0] === 'object') for (const item of value) buffersOf(item, found);
  } else if (value !== null && typeof value === 'object') {
    for (const item of Object.values(value)) buffersOf(item, found);
  }
  return found;
}
