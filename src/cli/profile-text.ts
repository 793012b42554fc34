/** A profile as JSON the way people write it: lists of numbers on one line. */
export const profileText = (profile: unknown): string =>
  `${JSON.stringify(profile, null, 2).replace(/\[\s+([-\d.,\se]+?)\s+\]/g, (_, list: string) => `[${list.replace(/\s+/g, ' ')}]`)}\n`;
