import type { Command } from 'commander';
import { entriesOn, entrySentences, readNotebook } from '../../outcome/notebook.ts';
import type { CommandContext } from '../context.ts';
import { readJson } from '../files.ts';
import { wrap } from '../summary.ts';

interface NotebookWords {
  readonly wood?: string;
  readonly json?: boolean;
}

export function addNotebook(root: Command, { terminal }: CommandContext): void {
  root
    .command('notebook')
    .argument('[file]', 'the notebook, as learn --notebook writes it', 'notebook.json')
    .description('list the burns that were told of, the last first')
    .option('--wood <name>', 'only those on this wood')
    .option('--json', 'print them as JSON')
    .action((file: string, { wood, json }: NotebookWords) => {
      const notebook = readNotebook(readJson(file, 'notebook'), file);
      if (json) {
        const entries = entriesOn(notebook, wood ?? null);
        terminal.out(JSON.stringify({ ...notebook, entries }, null, 2));
        return;
      }
      const lines = entrySentences(notebook, wood ?? null);
      terminal.out(
        lines.length === 0
          ? `No burn ${wood === undefined ? '' : `on ${wood} `}was told of yet.`
          : lines.flatMap((line) => wrap(line, /^ */.exec(line)![0], '     ')).join('\n'),
      );
    });
}
