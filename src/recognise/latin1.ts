/** Bytes as ISO 8859-1, a character each: what is written back from it is the same byte for byte. */
export function latin1Of(bytes: Uint8Array): string {
  // A call takes its arguments from the stack, which holds no file.
  const parts: string[] = [];
  for (let at = 0; at < bytes.length; at += 0x8000)
    parts.push(String.fromCharCode(...bytes.subarray(at, at + 0x8000)));
  return parts.join('');
}
