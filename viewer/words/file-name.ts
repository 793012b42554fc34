/** A file's name with something put before its ending: `sign.nc` with `-adjusted` is `sign-adjusted.nc`. */
export const nameWith = (name: string, suffix: string): string => name.replace(/(\.[^.]*)?$/, `${suffix}$1`);
