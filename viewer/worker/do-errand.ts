import { adjustText } from '../../src/change/adjust-text.ts';
import { doseText } from '../../src/dosing/dose-job.ts';
import { wishBounds, wishBurn } from '../../src/dosing/wish-burn.ts';
import { finishText } from '../../src/finish/finish-text.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { readPhoto } from '../../src/swatch/photo/read.ts';
import { replaySwatch } from '../../src/swatch/replay.ts';
import type { Errand } from './errand.ts';
import type { Setup } from './messages.ts';

/** The bench that a job is burned on, as the roads of the command line take it. */
const benchOf = ({ machine, material, stock, cellMm }: Setup) => ({
  machine,
  material,
  options: { stock, cellMm },
});

/** What an errand asks for; fetched with the first of them. */
export function doErrand(asked: Errand): unknown {
  switch (asked.errand) {
    case 'photo':
      return readPhoto(asked.photo, asked.swatch, { corners: asked.corners, white: asked.white });
    case 'doses':
      return replaySwatch(asked.swatch);
    case 'dose': {
      const { job, changes } = asked.setup;
      const { text, sentences, tones } = doseText(job.text, changes, benchOf(asked.setup), asked.wish);
      const wish = tones && {
        errors: { operations: tones.operations, before: tones.before, after: tones.after },
        burn: wishBurn(tones, tones.burn, asked.setup.material),
        boundsMm: wishBounds(tones),
      };
      return { text, sentences, wish };
    }
    case 'finish': {
      const { job, machine, changes } = asked.setup;
      // What was burned is the job with the changes of the bench.
      const burned = changes.length > 0 ? adjustText(job.text, changes, machine) : job.text;
      return finishText(burned, benchOf(asked.setup), readSaid(asked.told));
    }
  }
}
