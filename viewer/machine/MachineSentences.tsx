import type { Machine } from '../../src/machine/profile.ts';
import { Choice } from '../bench/Choice.tsx';
import {
  acceleration,
  MachineField,
  type MachineNumber,
  POWER,
  spotWidth,
  withLaser,
  withSpot,
} from '../bench/MachineField.tsx';
import { isFieldTold, shelved } from '../state/shelf.ts';
import { setMachine } from '../state/store.ts';
import {
  BAUD,
  bed,
  CORNER_DEVIATION,
  CORNER_STEP,
  DELAY,
  FOCUS,
  FULL_S,
  LAG,
  MOVES_AHEAD,
  POWER_PLUS_MINUS,
  SPOT_PLUS_MINUS,
  THRESHOLD,
  topSpeed,
  WAVELENGTH,
  WIDENS,
} from './numbers.ts';

/** A mark behind what nobody told: a usual value stands there. */
function Assumed({ of, field }: { readonly of: Machine; readonly field: string }) {
  return isFieldTold(of, field) ? null : (
    <>
      {' '}
      <i class="assumed" title="not told: a usual value is taken">
        assumed
      </i>
    </>
  );
}

interface SentencesProps {
  readonly machine: Machine;
}

/** Everything that is known of a machine, as sentences whose numbers are the controls. */
export function MachineSentences({ machine }: SentencesProps) {
  return (
    <section aria-label="The machine, in sentences">
      <Head machine={machine} />
      <Corners machine={machine} />
      <Beam machine={machine} />
      <SpotWords machine={machine} />
      <Link machine={machine} />
      <Surely machine={machine} />
    </section>
  );
}

const Field = ({ of, number }: { readonly of: Machine; readonly number: MachineNumber }) => (
  <MachineField of={of} was={shelved(of)} number={number} />
);

function Head({ machine }: SentencesProps) {
  return (
    <p>
      The head goes at most <Field of={machine} number={topSpeed(0)} /> along x and{' '}
      <Field of={machine} number={topSpeed(1)} /> along y
      <Assumed of={machine} field="max_speed_mm_s" />, gathering speed at{' '}
      <Field of={machine} number={acceleration(0)} /> along x and{' '}
      <Field of={machine} number={acceleration(1)} /> along y
      <Assumed of={machine} field="acceleration_mm_s2" />. The bed is <Field of={machine} number={bed(0)} /> ×{' '}
      <Field of={machine} number={bed(1)} />
      <Assumed of={machine} field="work_area_mm" />.
    </p>
  );
}

const RULES = [
  ['junction-deviation', 'keep within a deviation of'],
  ['speed-step', 'change speed at once by up to'],
] as const;

function Corners({ machine }: SentencesProps) {
  const { cornering, lookahead_moves: ahead } = machine;
  return (
    <p>
      At corners it may{' '}
      <Choice
        label="rule at corners"
        value={cornering.rule}
        options={RULES}
        changed={cornering.rule !== shelved(machine).cornering.rule}
        onChange={(rule) =>
          setMachine({
            ...machine,
            cornering: rule === 'speed-step' ? { rule, step_mm_s: 8 } : { rule, deviation_mm: 0.02 },
          })
        }
      />{' '}
      {cornering.rule === 'speed-step' ? (
        <Field of={machine} number={CORNER_STEP} />
      ) : (
        <Field of={machine} number={CORNER_DEVIATION} />
      )}
      <Assumed of={machine} field="cornering" />.{' '}
      {ahead === null ? (
        'It knows the whole job ahead'
      ) : (
        <>
          It knows <Field of={machine} number={MOVES_AHEAD} /> moves ahead
        </>
      )}
      <Assumed of={machine} field="lookahead_moves" />.
    </p>
  );
}

function Beam({ machine }: SentencesProps) {
  const { laser } = machine;
  return (
    <p>
      Light of <Field of={machine} number={POWER} />
      <Assumed of={machine} field="laser.optical_power_w" />, not the electrical power, leaves the lens at S{' '}
      <Field of={machine} number={FULL_S} />
      <Assumed of={machine} field="laser.s_max" />. Its wavelength is{' '}
      <Field of={machine} number={WAVELENGTH} />
      <Assumed of={machine} field="laser.wavelength_nm" />. Below <Field of={machine} number={THRESHOLD} /> of
      full power it stays dark
      <Assumed of={machine} field="laser.threshold_fraction" />. It follows its command with a lag of{' '}
      <Field of={machine} number={LAG} />
      <Assumed of={machine} field="laser.rise_time_ms" /> and a delay of <Field of={machine} number={DELAY} />
      <Assumed of={machine} field="laser.beam_delay_ms" />. After M4 its power{' '}
      <Choice
        label="power after M4"
        value={laser.m4_power}
        options={[
          ['proportional', 'follows the speed'],
          ['constant', 'stays constant'],
        ]}
        onChange={(m4_power) => setMachine(withLaser(machine, { m4_power }))}
      />
      <Assumed of={machine} field="laser.m4_power" />, and on rapids it{' '}
      <Choice
        label="beam on rapids"
        value={laser.fires_on_rapids ? 'on' : 'off'}
        options={[
          ['off', 'is off'],
          ['on', 'burns on'],
        ]}
        onChange={(on) => setMachine(withLaser(machine, { fires_on_rapids: on === 'on' }))}
      />
      <Assumed of={machine} field="laser.fires_on_rapids" />.
    </p>
  );
}

function SpotWords({ machine }: SentencesProps) {
  return (
    <p>
      In focus the spot is <Field of={machine} number={spotWidth(0)} /> ×{' '}
      <Field of={machine} number={spotWidth(1)} />
      <Assumed of={machine} field="spot.width_mm" />; its focus lies at z{' '}
      <Field of={machine} number={FOCUS} />
      <Assumed of={machine} field="spot.focus_z_mm" />.{' '}
      {machine.spot.rayleigh_mm === null ? (
        <>
          How it widens out of focus is not known
          <Assumed of={machine} field="spot.rayleigh_mm" />.{' '}
          <button
            type="button"
            class="link"
            onClick={() => setMachine(withSpot(machine, { rayleigh_mm: 2 }))}
          >
            say it
          </button>
        </>
      ) : (
        <>
          It is 1.4 times as wide <Field of={machine} number={WIDENS} /> above or below
          <Assumed of={machine} field="spot.rayleigh_mm" />.
        </>
      )}
    </p>
  );
}

function Link({ machine }: SentencesProps) {
  const { link } = machine;
  return (
    <p>
      Lines of the job{' '}
      <Choice
        label="how lines reach the machine"
        value={link ? 'line' : 'time'}
        options={[
          ['time', 'always reach it in time'],
          ['line', 'come over a serial line'],
        ]}
        changed={(link === null) !== (shelved(machine).link === null)}
        onChange={(how) =>
          setMachine({
            ...machine,
            link: how === 'line' ? { baud: 115_200, ack_bytes: 4, lines_per_second: null } : null,
          })
        }
      />
      {link ? (
        <>
          {' '}
          of <Field of={machine} number={BAUD} />
        </>
      ) : null}
      <Assumed of={machine} field="link" />.
    </p>
  );
}

function Surely({ machine }: SentencesProps) {
  return (
    <p>
      Its power is known to <Field of={machine} number={POWER_PLUS_MINUS} />
      <Assumed of={machine} field="plus_minus.optical_power_percent" />, its spot to{' '}
      <Field of={machine} number={SPOT_PLUS_MINUS} />
      <Assumed of={machine} field="plus_minus.spot_width_percent" />.
    </p>
  );
}
