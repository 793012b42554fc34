/**
 * Stands in for Node's `fs`, `events`, `timers` and `stream` inside `gcode-parser` (see vite.config.ts): its
 * stream helpers extend `Transform` when the module loads, but Charcast calls only its line reader.
 */
export class Transform {}
export default { Transform };
