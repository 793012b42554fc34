import { Command, CommanderError } from 'commander';
import { InputError } from '../errors.ts';
import { addCommands } from './commands/index.ts';
import { EXIT, type Terminal } from './context.ts';
import { plainText } from './plain-text.ts';

/**
 * Runs the command line.
 * @param words what was typed after the command's name.
 * @returns the exit status; everything said goes to `to`, as plain text.
 */
export async function run(words: readonly string[], to: Terminal): Promise<number> {
  // The one way to a terminal: whatever a name holds, it is shown and not obeyed.
  const terminal: Terminal = {
    out: (text) => to.out(plainText(text)),
    err: (text) => to.err(plainText(text)),
    wait: (text) => to.wait(plainText(text)),
  };
  const root = new Command('charcast')
    .description(
      'Replays a laser job before anyone burns wood with it, and shows what the burn will look like.',
    )
    .exitOverride()
    .configureOutput({
      writeOut: (text) => terminal.out(text.trimEnd()),
      writeErr: (text) => terminal.err(text.trimEnd()),
      outputError: () => {}, // said once, below
    });
  const status = { code: EXIT.calm as number };
  addCommands(root, terminal, status);
  try {
    await root.parseAsync(words, { from: 'user' });
    return status.code;
  } catch (error) {
    if (error instanceof CommanderError) {
      if (error.exitCode === 0) return EXIT.calm; // help was asked for
      if (error.code !== 'commander.help')
        terminal.err(`charcast: ${oneLine(error.message.replace(/^error: /, ''))}; see charcast --help`);
      return EXIT.failed;
    }
    if (error instanceof InputError) {
      terminal.err(`charcast: ${error.each().map(String).map(oneLine).join('\n          ')}`);
      return EXIT.failed;
    }
    throw error;
  }
}

const LONGEST_SENTENCE = 600;

/** Whatever was typed or found, an error is one line a terminal can show: file names and options may hold anything. */
function oneLine(text: string): string {
  const plain = text.replace(/[\s\p{C}]+/gu, ' ');
  return plain.length > LONGEST_SENTENCE ? `${plain.slice(0, LONGEST_SENTENCE)}…` : plain;
}
