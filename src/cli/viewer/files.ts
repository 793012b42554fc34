import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { InputError } from '../../errors.ts';

/** The whole application as one file, beside the hosted viewer's folder; jobs are put into it. */
const PAGE = '../charcast.html';

/** Where the built viewer lies: beside the built command line, or in `dist/` when run from source. */
function viewerFolder(): string {
  const places = ['./viewer/', '../../../dist/viewer/'].map((place) =>
    fileURLToPath(new URL(place, import.meta.url)),
  );
  const found = places.find((place) => existsSync(join(place, 'index.html')));
  if (!found) throw new InputError('found no built viewer; expected one after npm run build');
  return found;
}

/** The hosted viewer's files, by the path a browser asks for. Read once: nothing else can be asked for. */
export function hostedFiles(): ReadonlyMap<string, Uint8Array> {
  const folder = viewerFolder();
  const names = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name));
  return new Map(
    names.map((name) => [`/${relative(folder, name).split(sep).join('/')}`, readFileSync(name)] as const),
  );
}

/** The template of the self-contained page. */
export const pageTemplate = (): string => readFileSync(join(viewerFolder(), PAGE), 'utf8');
