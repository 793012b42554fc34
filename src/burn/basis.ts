/** What stands as the basis of a number that nobody measured or derived. */
export const GUESS = 'a guess to be calibrated';
