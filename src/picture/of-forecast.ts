import { guessNote } from '../burn/guesses.ts';
import type { Forecast } from '../forecast.ts';
import type { BoardFace } from '../own-board/own-board.ts';
import { burnPicture } from './burn-picture.ts';
import { dosePicture } from './dose-picture.ts';
import type { DrawSvg, Picture } from './picture.ts';
import { tonePathOf } from './tone.ts';

/** A forecast's own two pictures, as the command line writes them and the page hands them over. */

const about = ({ board, stock }: Forecast, title: string) => ({
  stock: board,
  stockThicknessMm: stock?.thicknessMm ?? null,
  title,
});

export const burnPictureOf = (
  forecast: Forecast,
  title: string,
  drawSvg: DrawSvg,
  face: BoardFace | null = null,
): Picture =>
  burnPicture(
    forecast.burn,
    {
      ...about(forecast, title),
      guess: guessNote(forecast.material),
      tonePath: tonePathOf(forecast.material),
      face,
    },
    drawSvg,
  );

export const dosePictureOf = (forecast: Forecast, title: string, drawSvg: DrawSvg): Picture =>
  dosePicture(forecast.dose.grid, about(forecast, title), drawSvg);
