import { gzipSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { demoJobs } from '../../src/demo/index.ts';
import { packed, unpacked } from '../../viewer/packed-gcode.ts';

test.each(demoJobs.map((job) => [job.name, job] as const))(
  '%s comes back byte for byte, and is much smaller compressed',
  async (_name, job) => {
    const text = await job.readText();
    const short = packed(text)!;
    expect(unpacked(short)).toBe(text);
    expect(gzipSync(short).length).toBeLessThan(0.9 * gzipSync(text).length);
  },
);

test('what would not come back is left as it is', () => {
  expect(packed('G1 X1.50 S3\n')).toBeNull();
  expect(packed('G1 X0.0001\n')).toBeNull();
  expect(unpacked(packed('; X1.50\nG1 X-1.5 S3\nX2\n')!)).toBe('; X1.50\nG1 X-1.5 S3\nX2\n');
});
