import { batch } from '@preact/signals';
import { useState } from 'preact/hooks';
import type { Machine } from '../../src/machine/profile.ts';
import type { ToldBurn } from '../../src/outcome/tell.ts';
import { KEPT_ALONE } from '../../src/outcome/words.ts';
import { downloadJson } from '../state/download.ts';
import { ownProfile } from '../state/listed.ts';
import { comesWith, keepMachineOnShelf, keepWoodOnShelf } from '../state/shelf.ts';
import { setMachine, setup, setWood } from '../state/store.ts';
import { jsonNameOf } from '../words/file-name.ts';
import { inThePage } from '../words/in-the-page.ts';
import { Kept } from '../words/Kept.tsx';
import type { Setup } from '../worker/messages.ts';

/** What a burn taught, and the bench it was told of. */
export interface LearnedNow {
  readonly burn: ToldBurn;
  readonly of: Setup;
  /** Whether the machine learned with the wood. */
  readonly withMachine: boolean;
}

/** What a wood or a machine of one's own is called: what comes with Charcast stays as it is. */
export const ownName = (name: string, isShipped: boolean): string => (isShipped ? `my ${name}` : name);

interface LearnedProps {
  readonly of: LearnedNow;
  /** What was learned lies on the bench and on the shelf now. */
  readonly onKept: () => void;
}

/**
 * What was learned, in one sentence, what it makes of the cuts, and where to keep it. What is not believed changes no number,
 * and nobody asked for a profile as it was under another name.
 */
export function Learned({ of: { burn, of, withMachine }, onKept }: LearnedProps) {
  const [kept, setKept] = useState<{ readonly of: ToldBurn; readonly words: string } | null>(null);
  const { material, machine, sentence, remarks, seen, cuts, isContradictory, isUnchanged } = burn;
  const isHere = setup.value?.job === of.job;
  const put = () => {
    const names = withMachine ? `${material.name} and ${machine.name} lie` : `${material.name} lies`;
    const learned = withMachine ? learnedProfile(machine, of.machine) : null;
    const stays = [keepWoodOnShelf(material), learned === null || keepMachineOnShelf(machine, learned)];
    batch(() => {
      setWood(material);
      if (withMachine) setMachine(machine);
    });
    setKept({
      of: burn,
      words: stays.every(Boolean)
        ? `${names} on the bench, and on the shelf of this browser.`
        : `${names} on the bench.`,
    });
    onKept();
  };
  return (
    <div class="learned">
      <p class={isContradictory ? 'over' : ''}>
        <Kept>{sentence}</Kept>
      </p>
      {remarks
        .filter((remark) => !(isUnchanged && remark === KEPT_ALONE))
        .map((remark) => (
          <p key={remark} class="over">
            <Kept>{inThePage(remark)}</Kept>
          </p>
        ))}
      <ToldList heading="On the photo" sentences={seen} />
      <ToldList heading="Its cuts, forecast with what was learned" sentences={cuts} />
      {isUnchanged ? (
        <p class="quiet">
          There is nothing to keep: no number of {withMachine ? 'wood and machine' : 'the wood'} would be
          another. {NOTED}
        </p>
      ) : (
        <>
          <p class="acts">
            <button type="button" class="press" aria-disabled={!isHere} onClick={() => isHere && put()}>
              Put it on the bench and on the shelf
            </button>
            <SaveAsFile what="wood" profile={material} />
            {withMachine ? <SaveAsFile what="machine" profile={machine} /> : null}
          </p>
          <p class="quiet">
            {withMachine
              ? 'Wood and machine are told for each other: use the two together.'
              : `The wood is told for ${of.machine.name} as it stands: use the two together.`}{' '}
            {NOTED}
          </p>
        </>
      )}
      {kept?.of === burn ? <p class="quiet">{kept.words}</p> : null}
    </div>
  );
}

const SaveAsFile = ({
  what,
  profile,
}: {
  readonly what: 'wood' | 'machine';
  readonly profile: ToldBurn['material'] | Machine;
}) => (
  <button type="button" class="press" onClick={() => downloadJson(jsonNameOf(profile.name), profile)}>
    Save the {what} as a file
  </button>
);

const NOTED = 'The burn stands in the notebook below.';

/** Sentences under a heading; nothing where there are none. */
const ToldList = ({
  heading,
  sentences,
}: {
  readonly heading: string;
  readonly sentences: readonly string[];
}) =>
  sentences.length === 0 ? null : (
    <>
      <h3>{heading}</h3>
      <ul class="told">
        {sentences.map((each) => (
          <li key={each}>
            <Kept>{each}</Kept>
          </li>
        ))}
      </ul>
    </>
  );

/** What is told of the machine, with what was learned of it. */
function learnedProfile({ name, laser, spot, plus_minus }: Machine, before: Machine) {
  const told = comesWith.has(before.name) ? before : ownProfile(before);
  return {
    ...told,
    name,
    laser: { ...told.laser, optical_power_w: laser.optical_power_w },
    spot: { ...told.spot, width_mm: spot.width_mm },
    plus_minus,
  };
}
