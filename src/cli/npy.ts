import type { Grid } from '../grid.ts';

/**
 * A grid as a NumPy array file: format 1.0, little-endian float32, C order, shape (ny, nx), row 0 the lowest y.
 * Source: NumPy Enhancement Proposal 1, "A Simple File Format for NumPy Arrays" (the header is padded so
 * that the data starts at a multiple of 64 bytes).
 */
export function npyOf(grid: Grid): Uint8Array {
  const dictionary = `{'descr': '<f4', 'fortran_order': False, 'shape': (${grid.ny}, ${grid.nx}), }`;
  const prefix = 10; // magic (6), version (2), header length (2)
  const padded = Math.ceil((prefix + dictionary.length + 1) / 64) * 64;
  const header = dictionary.padEnd(padded - prefix - 1) + '\n';
  const size = grid.nx * grid.ny;
  const bytes = new Uint8Array(padded + 4 * size);
  bytes.set([0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, 1, 0, header.length & 255, header.length >> 8]);
  bytes.set(new TextEncoder().encode(header), prefix);
  const littleEndian = new Uint8Array(new Uint16Array([1]).buffer)[0] === 1;
  if (littleEndian) {
    bytes.set(new Uint8Array(grid.data.buffer, grid.data.byteOffset, 4 * size), padded);
  } else {
    const view = new DataView(bytes.buffer, padded);
    for (let k = 0; k < size; k++) view.setFloat32(4 * k, grid.data[k]!, true);
  }
  return bytes;
}
