/** Characters made at a call. */
const CHUNK = 2048;

/** Bytes as ISO 8859-1, a character each: what is written back from it is the same byte for byte. */
export function latin1Of(bytes: Uint8Array): string {
  // A call takes its arguments from the stack, which holds no file; and to spread them takes six times as long.
  const parts: string[] = [];
  for (let at = 0; at < bytes.length; at += CHUNK)
    parts.push(Reflect.apply(String.fromCharCode, null, bytes.subarray(at, at + CHUNK)));
  return parts.join('');
}
