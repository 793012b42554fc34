import { signal } from '@preact/signals';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { BroughtJob } from '../../src/cli/viewer/page.ts';
import { BenchError } from '../../src/errors.ts';
import { readMachine } from '../../src/machine/profile.ts';
import type { Setup } from '../worker/messages.ts';
import { addMachine, addWood, demoSetup, readProfile } from './shelf.ts';
import { load, setMachine, setup, setWood } from './store.ts';

/** A sentence for the person at the bench about a file that could not be opened; null when there is none. */
export const trouble = signal<string | null>(null);

/** An everyday machine for when none is known. */
const ASSUMED_MACHINE = { name: 'an assumed 5 W gantry', laser: { optical_power_w: 5 } };
const ASSUMED_WOOD = 'poplar plywood';
/** Larger files than this are not jobs, or would not fit a page's memory. */
const MOST_BYTES = 600 << 20;

/** Bytes as ISO 8859-1, so that what comments hold comes back byte for byte. */
async function readText(file: File): Promise<string> {
  if (file.size > MOST_BYTES)
    throw new BenchError(
      `found ${Math.round(file.size / 1e6)} MB; expected a job of at most ${MOST_BYTES >> 20} MB`,
      {
        source: file.name,
      },
    );
  const bytes = new Uint8Array(await file.arrayBuffer());
  const parts: string[] = [];
  for (let at = 0; at < bytes.length; at += 0x8000)
    parts.push(String.fromCharCode(...bytes.subarray(at, at + 0x8000)));
  return parts.join('');
}

/**
 * Opens dropped or picked files: profiles (JSON) first, then the job. A second job goes to `beside`.
 * Nothing leaves the machine: the files are read in the page.
 */
export async function openFiles(
  files: readonly File[],
  beside: (next: Setup, name: string) => void,
  onlyBeside = false,
): Promise<void> {
  trouble.value = null;
  try {
    const jobs: File[] = [];
    for (const file of files) {
      if (!/\.json$/i.test(file.name)) {
        jobs.push(file);
        continue;
      }
      const profile = readProfile(new TextDecoder().decode(await file.arrayBuffer()), file.name);
      if ('machine' in profile) {
        addMachine(profile.machine);
        setMachine(profile.machine);
      } else {
        addWood(profile.wood);
        setWood(profile.wood);
      }
    }
    for (const [k, file] of jobs.slice(0, 2).entries()) {
      const now = setup.peek();
      const next: Setup = {
        job: { name: file.name, text: await readText(file) },
        machine: now?.machine ?? readMachine(ASSUMED_MACHINE),
        material: now?.material ?? shippedMaterials[ASSUMED_WOOD]!,
        stock: k === 0 && !onlyBeside ? null : (now?.stock ?? null),
        changes: [],
        cellMm: null,
      };
      if (k === 0 && !onlyBeside)
        load(next, file.name, '', [`The ${next.machine.name} and ${next.material.name} were taken over.`]);
      else beside(next, file.name);
    }
  } catch (error) {
    if (!(error instanceof BenchError)) throw error;
    trouble.value = error.toString();
  }
}

/** Lets the person pick files; `onlyBeside`: the first job, too, goes beside the one on the bench. */
export function pickFiles(beside: (next: Setup, name: string) => void, onlyBeside = false): void {
  const input = document.createElement('input');
  input.type = 'file';
  input.multiple = true;
  input.onchange = () => void openFiles([...(input.files ?? [])], beside, onlyBeside);
  input.click();
}

export async function openDemo(name: string): Promise<void> {
  trouble.value = null;
  const { setup: next, title, about } = await demoSetup(name);
  load(next, title, about);
}

/** The jobs that came inside the page; empty when it came alone. */
export function broughtJobs(): BroughtJob[] {
  const holder = document.getElementById('charcast-jobs');
  return holder?.textContent ? (JSON.parse(holder.textContent) as BroughtJob[]) : [];
}
