/** SHA-256 of a text as UTF-8, in hexadecimal. */
export const hashOfText = (text: string): Promise<string> => hashOf(new TextEncoder().encode(text));

/** SHA-256, in hexadecimal. */
export async function hashOf(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
