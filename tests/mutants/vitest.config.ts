import { fileURLToPath } from 'node:url';
import { mergeConfig } from 'vitest/config';
import base from '../../vite.config.ts';
import { MUTANTS } from './list.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const mutant = MUTANTS[Number(process.env.MUTANT)];

/** The tests' own configuration, with one line of the source read wrongly; no file is touched. */
export default mergeConfig(base, {
  root,
  plugins: [
    {
      name: 'one-wrong-line',
      enforce: 'pre',
      transform(code: string, id: string) {
        return mutant && id === `${root}${mutant.file}` ? code.replace(mutant.from, () => mutant.to) : null;
      },
    },
  ],
});
