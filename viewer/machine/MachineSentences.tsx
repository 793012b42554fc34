import type { ComponentChildren } from 'preact';
import type { Machine } from '../../src/machine/profile.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../../src/units.ts';
import { Choice } from '../bench/Choice.tsx';
import { NumberField, type NumberFieldProps } from '../bench/NumberField.tsx';
import { isFieldTold, shelved } from '../state/listed.ts';
import { setMachine } from '../state/store.ts';

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

/** Whether two machines differ in one value. */
const differs = (of: Machine, value: (machine: Machine) => unknown): boolean =>
  JSON.stringify(value(of)) !== JSON.stringify(value(shelved(of)));

type FieldProps = Omit<NumberFieldProps, 'value' | 'onChange' | 'changed'> & {
  readonly of: Machine;
  readonly get: (machine: Machine) => number;
  readonly set: (value: number) => Machine;
};

function Field({ of, get, set, ...rest }: FieldProps) {
  return (
    <NumberField
      {...rest}
      value={get(of)}
      changed={differs(of, get)}
      onChange={(value) => setMachine(set(value))}
    />
  );
}

const AXES = ['x', 'y'] as const;

function Head({ machine }: SentencesProps) {
  const with_ = (values: readonly number[], k: number, value: number) =>
    values.map((each, axis) => (axis === k ? value : each)) as [number, number, number];
  const top = (k: 0 | 1): ComponentChildren => (
    <Field
      of={machine}
      label={`top speed along ${AXES[k]}`}
      unit="mm/min"
      min={60}
      max={120_000}
      step={100}
      digits={6}
      get={(of) => mmPerSToMmPerMin(of.max_speed_mm_s[k])}
      set={(feed) => ({
        ...machine,
        max_speed_mm_s: with_(machine.max_speed_mm_s, k, mmPerMinToMmPerS(feed)),
      })}
    />
  );
  const gain = (k: 0 | 1): ComponentChildren => (
    <Field
      of={machine}
      label={`acceleration along ${AXES[k]}`}
      unit="mm/s²"
      min={10}
      max={50_000}
      step={50}
      digits={5}
      get={(of) => of.acceleration_mm_s2[k]}
      set={(a) => ({ ...machine, acceleration_mm_s2: with_(machine.acceleration_mm_s2, k, a) })}
    />
  );
  const bed = (k: 0 | 1): ComponentChildren => (
    <Field
      of={machine}
      label={k === 0 ? 'bed width' : 'bed depth'}
      {...(k === 1 ? { unit: 'mm' } : {})}
      min={20}
      max={10_000}
      step={10}
      get={(of) => of.work_area_mm[k]}
      set={(mm) => ({
        ...machine,
        work_area_mm: machine.work_area_mm.map((each, axis) => (axis === k ? mm : each)) as [number, number],
      })}
    />
  );
  return (
    <p>
      The head goes at most {top(0)} along x and {top(1)} along y
      <Assumed of={machine} field="max_speed_mm_s" />, gathering speed at {gain(0)} along x and {gain(1)}{' '}
      along y<Assumed of={machine} field="acceleration_mm_s2" />. The bed is {bed(0)} × {bed(1)}
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
        changed={differs(machine, (of) => of.cornering.rule)}
        onChange={(rule) =>
          setMachine({
            ...machine,
            cornering: rule === 'speed-step' ? { rule, step_mm_s: 8 } : { rule, deviation_mm: 0.02 },
          })
        }
      />{' '}
      {cornering.rule === 'speed-step' ? (
        <Field
          of={machine}
          label="step of speed at corners"
          unit="mm/s"
          min={0}
          max={100}
          step={0.5}
          get={(of) => (of.cornering.rule === 'speed-step' ? of.cornering.step_mm_s : 0)}
          set={(step_mm_s) => ({ ...machine, cornering: { rule: 'speed-step', step_mm_s } })}
        />
      ) : (
        <Field
          of={machine}
          label="deviation at corners"
          unit="mm"
          min={0}
          max={1}
          step={0.005}
          get={(of) => (of.cornering.rule === 'junction-deviation' ? of.cornering.deviation_mm : 0)}
          set={(deviation_mm) => ({ ...machine, cornering: { rule: 'junction-deviation', deviation_mm } })}
        />
      )}
      <Assumed of={machine} field="cornering" />.{' '}
      {ahead === null ? (
        'It knows the whole job ahead'
      ) : (
        <>
          It knows{' '}
          <Field
            of={machine}
            label="moves known ahead"
            min={1}
            max={1000}
            step={1}
            whole
            get={(of) => of.lookahead_moves ?? 1}
            set={(lookahead_moves) => ({ ...machine, lookahead_moves })}
          />{' '}
          moves ahead
        </>
      )}
      <Assumed of={machine} field="lookahead_moves" />.
    </p>
  );
}

function Beam({ machine }: SentencesProps) {
  const { laser } = machine;
  const lit = (with_: Partial<Machine['laser']>): Machine => ({ ...machine, laser: { ...laser, ...with_ } });
  return (
    <p>
      Light of{' '}
      <Field
        of={machine}
        label="optical power"
        unit="W"
        min={0.1}
        max={200}
        step={0.5}
        get={(of) => of.laser.optical_power_w}
        set={(optical_power_w) => lit({ optical_power_w })}
      />
      <Assumed of={machine} field="laser.optical_power_w" />, not the electrical power, leaves the lens at S{' '}
      <Field
        of={machine}
        label="S of full power"
        min={1}
        max={100_000}
        step={5}
        digits={6}
        get={(of) => of.laser.s_max}
        set={(s_max) => lit({ s_max })}
      />
      <Assumed of={machine} field="laser.s_max" />. Its wavelength is{' '}
      <Field
        of={machine}
        label="wavelength"
        unit="nm"
        min={200}
        max={12_000}
        step={5}
        digits={5}
        get={(of) => of.laser.wavelength_nm}
        set={(wavelength_nm) => lit({ wavelength_nm })}
      />
      <Assumed of={machine} field="laser.wavelength_nm" />. Below{' '}
      <Field
        of={machine}
        label="threshold of the diode"
        unit="%"
        min={0}
        max={90}
        step={0.5}
        get={(of) => of.laser.threshold_fraction * 100}
        set={(percent) => lit({ threshold_fraction: percent / 100 })}
      />{' '}
      of full power it stays dark
      <Assumed of={machine} field="laser.threshold_fraction" />. It follows its command with a lag of{' '}
      <Field
        of={machine}
        label="lag of the beam"
        unit="ms"
        min={0}
        max={100}
        step={0.1}
        get={(of) => of.laser.rise_time_ms}
        set={(ms) => lit({ rise_time_ms: ms < 0.001 ? 0 : ms })}
      />
      <Assumed of={machine} field="laser.rise_time_ms" /> and a delay of{' '}
      <Field
        of={machine}
        label="delay of the beam"
        unit="ms"
        min={-100}
        max={100}
        step={0.1}
        get={(of) => of.laser.beam_delay_ms}
        set={(beam_delay_ms) => lit({ beam_delay_ms })}
      />
      <Assumed of={machine} field="laser.beam_delay_ms" />. After M4 its power{' '}
      <Choice
        label="power after M4"
        value={laser.m4_power}
        options={[
          ['proportional', 'follows the speed'],
          ['constant', 'stays constant'],
        ]}
        onChange={(m4_power) => setMachine(lit({ m4_power }))}
      />
      <Assumed of={machine} field="laser.m4_power" />, and on rapids it{' '}
      <Choice
        label="beam on rapids"
        value={laser.fires_on_rapids ? 'on' : 'off'}
        options={[
          ['off', 'is off'],
          ['on', 'burns on'],
        ]}
        onChange={(on) => setMachine(lit({ fires_on_rapids: on === 'on' }))}
      />
      <Assumed of={machine} field="laser.fires_on_rapids" />.
    </p>
  );
}

function SpotWords({ machine }: SentencesProps) {
  const { spot } = machine;
  const focused = (with_: Partial<Machine['spot']>): Machine => ({ ...machine, spot: { ...spot, ...with_ } });
  const width = (k: 0 | 1): ComponentChildren => (
    <Field
      of={machine}
      label={`spot width along ${AXES[k]}`}
      {...(k === 1 ? { unit: 'mm' } : {})}
      min={0.02}
      max={5}
      step={0.01}
      get={(of) => of.spot.width_mm[k]}
      set={(mm) =>
        focused({ width_mm: spot.width_mm.map((each, axis) => (axis === k ? mm : each)) as [number, number] })
      }
    />
  );
  return (
    <p>
      In focus the spot is {width(0)} × {width(1)}
      <Assumed of={machine} field="spot.width_mm" />; its focus lies at z{' '}
      <Field
        of={machine}
        label="height of the focus"
        unit="mm"
        min={-200}
        max={200}
        step={0.1}
        get={(of) => of.spot.focus_z_mm}
        set={(focus_z_mm) => focused({ focus_z_mm })}
      />
      <Assumed of={machine} field="spot.focus_z_mm" />.{' '}
      {spot.rayleigh_mm === null ? (
        <>
          How it widens out of focus is not known
          <Assumed of={machine} field="spot.rayleigh_mm" />.{' '}
          <button type="button" class="link" onClick={() => setMachine(focused({ rayleigh_mm: 2 }))}>
            say it
          </button>
        </>
      ) : (
        <>
          It is 1.4 times as wide{' '}
          <Field
            of={machine}
            label="distance from focus where the spot is 1.4 times as wide"
            unit="mm"
            min={0.05}
            max={100}
            step={0.1}
            get={(of) => of.spot.rayleigh_mm ?? 1}
            set={(rayleigh_mm) => focused({ rayleigh_mm })}
          />{' '}
          above or below
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
        changed={differs(machine, (of) => of.link === null)}
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
          of{' '}
          <Field
            of={machine}
            label="speed of the serial line"
            unit="baud"
            min={1200}
            max={4_000_000}
            step={9600}
            digits={7}
            get={(of) => of.link?.baud ?? 0}
            set={(baud) => ({ ...machine, link: { ...link, baud } })}
          />
        </>
      ) : null}
      <Assumed of={machine} field="link" />.
    </p>
  );
}

function Surely({ machine }: SentencesProps) {
  const { plus_minus: known } = machine;
  return (
    <p>
      Its power is known to{' '}
      <Field
        of={machine}
        label="uncertainty of the power"
        unit="%"
        min={0}
        max={50}
        step={1}
        get={(of) => of.plus_minus.optical_power_percent}
        set={(optical_power_percent) => ({ ...machine, plus_minus: { ...known, optical_power_percent } })}
      />
      <Assumed of={machine} field="plus_minus.optical_power_percent" />, its spot to{' '}
      <Field
        of={machine}
        label="uncertainty of the spot"
        unit="%"
        min={0}
        max={50}
        step={1}
        get={(of) => of.plus_minus.spot_width_percent}
        set={(spot_width_percent) => ({ ...machine, plus_minus: { ...known, spot_width_percent } })}
      />
      <Assumed of={machine} field="plus_minus.spot_width_percent" />.
    </p>
  );
}
