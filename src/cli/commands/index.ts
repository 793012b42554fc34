import type { Command } from 'commander';
import type { CommandContext, Terminal } from '../context.ts';
import { expectOptionsOnce } from '../once.ts';
import { addAdjust } from './adjust.ts';
import { addChart } from './chart.ts';
import { addCompare } from './compare.ts';
import { addDemo } from './demo.ts';
import { addFinish } from './finish.ts';
import { addFit } from './fit.ts';
import { addForecast } from './forecast.ts';
import { addLearn } from './learn.ts';
import { addMachine } from './machine.ts';
import { addNotebook } from './notebook.ts';
import { addSuggest } from './suggest.ts';
import { addSwatch } from './swatch.ts';
import { addView } from './view.ts';

/** Adds every command to the root, in the order the help shows them. */
export function addCommands(root: Command, terminal: Terminal, status: { code: number }): void {
  const context: CommandContext = { terminal, status };
  for (const add of [
    addForecast,
    addAdjust,
    addFinish,
    addLearn,
    addNotebook,
    addCompare,
    addView,
    addChart,
    addSuggest,
    addSwatch,
    addFit,
    addMachine,
    addDemo,
  ])
    add(root, context);
  root.commands.forEach(expectOptionsOnce);
}
