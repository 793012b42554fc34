/**
 * What a file is, by its content and whatever its name: people hand a tool the file beside the one they meant.
 * `json` is no profile by its fields, and may be one with a fault; `unknown` is of no use to Charcast.
 */
export type FileKind =
  | 'job'
  | 'printer job'
  | 'listing'
  | 'machine'
  | 'wood'
  | 'swatch'
  | 'notebook'
  | 'photo'
  | 'picture'
  | 'drawing'
  | 'model'
  | 'archive'
  | 'page'
  | 'json'
  | 'unknown';

export interface Recognised {
  readonly kind: FileKind;
  /** For a sentence: `a PNG picture`. */
  readonly what: string;
  /** A job that sets a controller's settings, as a listing may hold moves. */
  readonly holdsSettings?: boolean;
}
