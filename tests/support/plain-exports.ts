import type { Plugin } from 'vite';

/**
 * Tests load each module for itself, and what it exports is found through a getter each time that it is used: a call from
 * module to module then costs more than a small function does, and is never compiled into its caller. No export of ours
 * changes once its module has run, so the getters make way for what they give.
 */
export const plainExports: Plugin = {
  name: 'plain-exports',
  apply: 'serve',
  enforce: 'post',
  transform: (code, id) =>
    /\/(src|tests)\/.*\.ts$/.test(id) && !/^export (let|var)\b/m.test(code)
      ? { code: `${code}\n${WITHOUT_GETTERS}\n`, map: null }
      : null,
};

/** `__vite_ssr_exports__` is what the test runner calls a module's exports. */
const WITHOUT_GETTERS = `
for (const [name, { get }] of Object.entries(Object.getOwnPropertyDescriptors(__vite_ssr_exports__)))
  if (get) Object.defineProperty(__vite_ssr_exports__, name, { value: get(), enumerable: true, configurable: true });`;
