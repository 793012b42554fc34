import { relative } from 'node:path';
import type { Reporter, TestModule, Vitest } from 'vitest/node';

/** So many are told. */
const TOLD = 10;

/** Tells at the end of a run which files took longest: setting up, reading modules and running tests together. */
export default class SlowestFiles implements Reporter {
  #root = '';

  onInit(vitest: Vitest): void {
    this.#root = vitest.config.root;
  }

  onTestRunEnd(files: readonly TestModule[]): void {
    if (files.length <= TOLD) return;
    const slowest = files
      .map((file) => ({ name: relative(this.#root, file.moduleId), tookMs: tookMsOf(file) }))
      .sort((a, b) => b.tookMs - a.tookMs)
      .slice(0, TOLD);
    const lines = slowest.map(({ name, tookMs }) => `${(tookMs / 1000).toFixed(1).padStart(8)} s  ${name}`);
    process.stdout.write(`\n The slowest files\n${lines.join('\n')}\n`);
  }
}

function tookMsOf(file: TestModule): number {
  const { environmentSetupDuration, prepareDuration, collectDuration, setupDuration, duration } =
    file.diagnostic();
  return environmentSetupDuration + prepareDuration + collectDuration + setupDuration + duration;
}
