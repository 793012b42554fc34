/** A file's name with something put before its ending: `sign.nc` with `-adjusted` is `sign-adjusted.nc`. */
export const nameWith = (name: string, suffix: string): string => name.replace(/(\.[^.]*)?$/, `${suffix}$1`);

/** The name of a JSON file for what has this name: `my-wood.json`, of letters, digits and dashes. */
export const jsonNameOf = (name: string): string =>
  `${name.replace(/[^\p{L}\p{N}_-]+/gu, '-').replace(/^-+|-+$/g, '') || 'profile'}.json`;
