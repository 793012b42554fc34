import { statSync } from 'node:fs';
import { relative } from 'node:path';
import type { TestSequencer, TestSpecification } from 'vitest/node';

/** Few lines to read and long to run: each opens pages, burns the whole demo or draws many woods. */
export const LONG: readonly string[] = [
  'tests/viewer/pictures.test.ts',
  'tests/viewer/axe.test.ts',
  'tests/viewer/learn.test.ts',
  'tests/viewer/settings-chart.test.ts',
  'tests/swatch/ladder.test.ts',
  'tests/findings/demo.test.ts',
  'tests/picture/demo.test.ts',
];

/**
 * What takes long begins first, so that no core waits at the end for the other: these, then the largest files. In every run
 * alike: what an earlier one took is not asked, a clean clone would not know.
 */
export default class LongFirst implements TestSequencer {
  sort(files: TestSpecification[]): TestSpecification[] {
    const weightOf = ({ project, moduleId }: TestSpecification): number =>
      LONG.includes(relative(project.config.root, moduleId))
        ? Number.POSITIVE_INFINITY
        : statSync(moduleId).size;
    const weighed = files.map((file) => ({ file, weight: weightOf(file) }));
    // Equal weights, two infinite ones among them, keep their order.
    weighed.sort((a, b) => (a.weight === b.weight ? 0 : b.weight - a.weight));
    return weighed.map(({ file }) => file);
  }

  shard(files: TestSpecification[]): TestSpecification[] {
    return files;
  }
}
