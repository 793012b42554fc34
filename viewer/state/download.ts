/** The bytes of a job's text: ISO 8859-1, as jobs are read. */
export const latin1Bytes = (text: string): Uint8Array<ArrayBuffer> =>
  Uint8Array.from(text, (letter) => letter.charCodeAt(0) & 255);

/** Hands a job's text to the browser as a file. */
export const downloadText = (name: string, text: string): void =>
  downloadBlob(name, new Blob([latin1Bytes(text)], { type: 'application/octet-stream' }));

/** Hands bytes to the browser as a file. */
export function downloadBlob(name: string, blob: Blob): void {
  const url = URL.createObjectURL(blob);
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** Plain data as a JSON file, in UTF-8 as JSON is. */
export const jsonBlob = (value: unknown): Blob =>
  new Blob([`${JSON.stringify(value, null, 2)}\n`], { type: 'application/json' });

/** Hands over plain data as a JSON file. */
export const downloadJson = (name: string, value: unknown): void => downloadBlob(name, jsonBlob(value));
