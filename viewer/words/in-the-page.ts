/** Sentences that name an option of a command, and what stands for it in the page. */
const FOR_COMMANDS: readonly (readonly [string | RegExp, string])[] = [
  ['expected --stock with it, as in 120x80x4@0,0', 'expected it with the board on the bench'],
  [
    'read the controller’s settings again (charcast machine --from)',
    'paste the controller’s settings in My machine again',
  ],
  [
    'Give the board’s corners with --photo-points if it is not.',
    'If it is not, lay the photo by its corners.',
  ],
  [
    /say so with the change “(\d+): engrave”/,
    'choose “to engrave” instead of “to cut” in the sentence of operation $1',
  ],
  ['or give the board’s corners with --photo-points', 'or lay the photo by its corners below'],
  [/say it with --say, as in "[^"]+"/, 'say it of each cut below'],
  [
    'expected the board’s corners in pixels, the job’s lower left first, then anticlockwise, and the piece',
    'expected each corner at its own, the filled one at the job’s lower left, and the piece',
  ],
  [
    'expected the board’s four corners in pixels, the job’s lower left first, then anticlockwise',
    'expected each corner at its own, the filled one at the job’s lower left',
  ],
];

/** The same for who has the page and no command. */
export const inThePage = (words: string): string =>
  FOR_COMMANDS.reduce((said, [command, page]) => said.replace(command, page), words);
