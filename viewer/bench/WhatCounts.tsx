import { DEEPEST_ENGRAVING } from '../../src/findings/too-deep.ts';
import { LEAST_SURE, MOST_SURE, SURE } from '../../src/sure/come-through.ts';
import { ask, setup } from '../state/store.ts';
import { Choice } from './Choice.tsx';
import { NumberField } from './NumberField.tsx';

const WARMTHS = [
  ['followed', 'followed, with repeated firing'],
  ['left out', 'left out'],
] as const;

/** What a person holds for sure and for too deep, and whether the heat that stays counts: as sentences. */
export function WhatCounts() {
  const { stock, asked = {} } = setup.value!;
  const { sure, deepestEngraving, cool = false } = asked;
  return (
    <details class="more">
      <summary>What counts</summary>
      <p>
        A cut comes through for sure where it does on{' '}
        <NumberField
          label="boards a cut must come through on"
          unit="%"
          value={100 * (sure ?? SURE)}
          min={100 * LEAST_SURE}
          max={100 * MOST_SURE}
          step={1}
          digits={3}
          changed={(sure ?? SURE) !== SURE}
          onChange={(percent) => ask({ sure: percent / 100 })}
        />{' '}
        of such boards.{' '}
        {stock?.thicknessMm ? (
          <>
            Engraving is too deep from{' '}
            <NumberField
              label="part of the thickness that engraving may take"
              unit="%"
              value={100 * (deepestEngraving ?? DEEPEST_ENGRAVING)}
              min={1}
              max={100}
              step={1}
              digits={3}
              changed={(deepestEngraving ?? DEEPEST_ENGRAVING) !== DEEPEST_ENGRAVING}
              onChange={(percent) => ask({ deepestEngraving: percent / 100 })}
            />{' '}
            of the board’s thickness on.
          </>
        ) : null}
      </p>
      <p>
        The heat that stays in the wood is{' '}
        <Choice
          label="heat that stays in the wood"
          value={cool ? 'left out' : 'followed'}
          options={WARMTHS}
          after="."
          changed={cool}
          onChange={(to) => ask({ cool: to === 'left out' })}
        />
      </p>
      {cool ? null : (
        <p class="quiet">
          Wood that is still warm needs less dose, and every further firing of a cool place more. How much is
          a guess of ours, good to about a factor of two.
        </p>
      )}
    </details>
  );
}
