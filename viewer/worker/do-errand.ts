import '../no-eval.ts';
import { adjustText } from '../../src/change/adjust-text.ts';
import { textWithout } from '../../src/change/text-without.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { doseText } from '../../src/dosing/dose-job.ts';
import { wishBounds, wishBurn } from '../../src/dosing/wish-burn.ts';
import { finishText } from '../../src/finish/finish-text.ts';
import { burnOfProgram, type Forecast, forecast } from '../../src/forecast.ts';
import { type Bounds, cornersOfBounds } from '../../src/grid.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { tellBurn } from '../../src/outcome/tell.ts';
import { flattened } from '../../src/own-board/flatten.ts';
import { boardWithin, ownBoard } from '../../src/own-board/own-board.ts';
import { inverted, mapped } from '../../src/photo/homography.ts';
import { seenAt } from '../../src/photo/lens.ts';
import { photoRaster, pieceRasters } from '../../src/picture/piece-picture.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { type View, viewOver } from '../../src/picture/view.ts';
import { woodRaster } from '../../src/picture/wood.ts';
import { readPiece } from '../../src/piece/read-piece.ts';
import { readPhoto } from '../../src/swatch/photo/read.ts';
import { replaySwatch } from '../../src/swatch/replay.ts';
import { benchOf } from './bench-of.ts';
import type { Errand, ErrandResults } from './errand.ts';
import type { Setup } from './messages.ts';

/** What an errand asks for; fetched with the first of them. */
export function doErrand(asked: Errand): unknown {
  switch (asked.errand) {
    case 'photo':
      return readPhoto(asked.photo, asked.swatch, { corners: asked.corners, white: asked.white });
    case 'board': {
      const { photo, points, givens, outlinePx } = asked;
      const flat = flattened(photo, points);
      const map = flat.at(givens.thicknessMm ?? 0);
      const back = inverted(map);
      const own = outlinePx
        ? boardWithin(
            flat,
            outlinePx.map((point) => mapped(back, point)),
            givens,
          )
        : ownBoard(flat, givens);
      return { ...own, outlinePx: own.face.outline.map((place) => mapped(map, place)) };
    }
    case 'doses':
      return replaySwatch(asked.swatch, asked.wood);
    case 'dose': {
      const { job, changes } = asked.setup;
      const bench = benchOf(asked.setup);
      const { text, sentences, tones } = doseText(job.text, changes, bench, asked.wish);
      const wish = tones && {
        errors: { operations: tones.operations, before: tones.before, after: tones.after },
        burn: wishBurn(tones, burnOfProgram(tones.changed.program, bench).burn, bench.material),
        boundsMm: wishBounds(tones),
      };
      return { text, sentences, wish };
    }
    case 'leave out':
      return textWithout(asked.setup.job.text, asked.out, asked.setup.machine);
    case 'finish': {
      const { job, machine, changes } = asked.setup;
      // What was burned is the job with the changes of the bench.
      const burned = changes.length > 0 ? adjustText(job.text, changes, machine) : job.text;
      return finishText(burned, benchOf(asked.setup), readSaid(asked.told));
    }
    case 'piece':
      return pieceOn(asked);
    case 'learn':
      return learnFrom(asked);
  }
}

/** As wide as the small picture is drawn, px; and as photo and forecast are shown side by side. */
const SMALL_PX = 240;
const SHOWN_PX = 1000;

/** The job as it was burned: with the changes of the bench. */
function asBurned(setup: Setup): Forecast {
  const { machine, material, options } = benchOf(setup);
  const asWritten = forecast(setup.job.text, machine, material, options);
  const { changes, cellMm } = setup;
  return changes.length > 0 ? forecastChanged(asWritten, changes, { cellMm }) : asWritten;
}

function pieceOn({ setup, photo, corners }: Errand & { errand: 'piece' }): ErrandResults['piece'] {
  const made = asBurned(setup);
  const reading = readPiece(photo, made, corners ? { points: corners.at, cornersOf: corners.of } : {});
  const { expected, seen, difference, scale } = pieceRasters(
    made,
    reading,
    viewOver(made.board, made.burn.frame, SHOWN_PX),
  );
  const seenOn = (bounds: Bounds) =>
    cornersOfBounds(bounds).map(([x, y]) => seenAt(reading.registered.view, x, y));
  return {
    tones: reading.tones,
    darker: reading.darker,
    notes: reading.notes,
    corners: { board: seenOn(made.board), burn: seenOn(made.burnBounds) },
    expected,
    seen,
    difference,
    endL: scale.to,
    small: photoRaster(reading, made.material, smallView(made)),
  };
}

function learnFrom(asked: Errand & { errand: 'learn' }): ErrandResults['learn'] {
  const { setup, said, photo, burn, name, machineName } = asked;
  const made = asBurned(setup);
  const told = tellBurn(made, said === '' ? [] : readSaid(said), burn, {
    name,
    machineName,
    picture: photo?.name ?? null,
    cellMm: setup.cellMm,
    photo: photo?.tones ?? [],
  });
  return { burn: told, picture: woodRaster(made.burn, smallView(made), tonePathOf(made.material)) };
}

function smallView({ board }: Forecast): View {
  const { minXMm, maxXMm, minYMm, maxYMm } = board;
  const pxPerMm = SMALL_PX / Math.max(maxXMm - minXMm, maxYMm - minYMm);
  const [widthPx, heightPx] = [maxXMm - minXMm, maxYMm - minYMm].map((mm) =>
    Math.max(1, Math.round(mm * pxPerMm)),
  );
  return { leftMm: minXMm, bottomMm: minYMm, pxPerMm, widthPx: widthPx!, heightPx: heightPx! };
}
