import type { Material } from '../../burn/material.ts';

/** What a fit starts from, and what only the person knows. */
export interface FitOptions {
  /** The profile to start from; what the swatch cannot tell stays as it is there. */
  readonly base: Material;
  /** Numbers of the cuts that went through; null: not told. */
  readonly cuts: readonly number[] | null;
  /** When the swatch was burned or fitted, as it shall stand in the profile. */
  readonly date: string;
  /** The new profile's name. */
  readonly name: string;
}
