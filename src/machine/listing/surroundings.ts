/** How to read the words that mean different things in different dialects; what is missing is judged by rule. */
export interface Choices {
  /** The unit of M203. */
  readonly m203?: 'mm/s' | 'mm/min';
  /** What the X of M205 is: a step of speed in mm/s, or a junction deviation in mm. */
  readonly m205x?: 'step' | 'deviation';
}

/** What is known besides the line at hand. */
export interface Surroundings {
  readonly choices: Choices;
  /** The listing has M566, so it comes from the dialect in which M203 is per minute. */
  readonly hasM566: boolean;
}
