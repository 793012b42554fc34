import type { Command } from 'commander';
import { InputError } from '../errors.ts';

/** Refuses an option that is given twice with two values, of which only the last would count. */
export function expectOptionsOnce(command: Command): void {
  for (const option of command.options) {
    if (option.variadic || option.isBoolean()) continue;
    let before: string | null = null;
    command.on(`option:${option.name()}`, (value: string) => {
      if (before !== null && value !== before) {
        throw new InputError(
          `found ${option.long} twice, with “${before}” and with “${value}”; expected it once`,
        );
      }
      before = value;
    });
  }
}
