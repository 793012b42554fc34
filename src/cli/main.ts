#!/usr/bin/env node
import { EXIT } from './context.ts';
import { plainText } from './plain-text.ts';
import { run } from './run.ts';

// A reader that has seen enough (`charcast … | head`) closes the pipe: that is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});

run(process.argv.slice(2), {
  out: (text) => process.stdout.write(`${text}\n`),
  err: (text) => process.stderr.write(`${text}\n`),
  wait: (text) => void (process.stderr.isTTY && process.stderr.write(`${text}\n`)),
}).then(
  (code) => {
    process.exitCode = code;
  },
  (fault: unknown) => {
    process.stderr.write(
      `charcast: a fault of Charcast itself, please report it with the job that caused it\n${plainText(String(fault instanceof Error ? fault.stack : fault))}\n`,
    );
    process.exitCode = EXIT.failed;
  },
);
