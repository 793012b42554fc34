import { guessNote } from '../../src/burn/guesses.ts';
import { THICKNESS_PART } from '../../src/sure/boards.ts';
import { machines, woods } from '../state/shelf.ts';
import { loaded, place, scene, setMachine, setStock, setup, setWood } from '../state/store.ts';
import { shownNumber } from '../words/shown-number.ts';
import { boardToBegin } from './board-to-begin.ts';
import { Choice } from './Choice.tsx';
import { LaidSentence } from './Laid.tsx';
import { acceleration, MachineField, POWER, spotWidth } from './MachineField.tsx';
import { NumberField } from './NumberField.tsx';
import { OwnBoard } from './OwnBoard.tsx';
import { Spots } from './Spots.tsx';

/** The machine, read as a sentence. */
export function MachineSentence() {
  const at = setup.value;
  const first = loaded.value;
  if (!at || !first) return null;
  const { machine } = at;
  const shelf = machines.value.get(machine.name) ?? first.machine;
  const [ax, ay] = machine.acceleration_mm_s2;
  const isAlike = ax === ay;
  // The unit is said of the first.
  const { unit: _, ...alongY } = acceleration(1);
  const changed = JSON.stringify(shelf) !== JSON.stringify(machine);
  const known = [...machines.value.keys()];
  const names = known.includes(machine.name) ? known : [machine.name, ...known];
  return (
    <p>
      On the{' '}
      <Choice
        label="Machine"
        value={machine.name}
        options={names.map((name) => [name, name] as const)}
        after=":"
        onChange={(name) => setMachine(machines.value.get(name) ?? first.machine)}
      />{' '}
      a beam of <MachineField of={machine} was={shelf} number={POWER} /> in a spot of{' '}
      <MachineField of={machine} was={shelf} number={spotWidth(0)} />
      {' × '}
      <MachineField of={machine} was={shelf} number={spotWidth(1)} after="," /> gathering speed at{' '}
      <MachineField of={machine} was={shelf} number={acceleration(0)} after={isAlike ? '.' : ''} />
      {isAlike ? null : (
        <>
          {' '}
          along x and <MachineField of={machine} was={shelf} number={alongY} /> along y.
        </>
      )}{' '}
      <button
        type="button"
        class="link"
        onClick={() => {
          place.value = 'machine';
        }}
      >
        say more of it
      </button>
      {changed ? (
        <>
          {' '}
          <span class="was">changed</span>{' '}
          <button
            type="button"
            class="link"
            onClick={() => setMachine(shelf)}
            aria-label="Put back the machine"
          >
            put back
          </button>
        </>
      ) : null}
    </p>
  );
}

/** The wood and how it lies, read as a sentence. */
export function WoodSentence() {
  const at = setup.value;
  const first = loaded.value;
  if (!at || !first) return null;
  const { material, stock } = at;
  const known = [...woods.value.keys()];
  const names = known.includes(material.name) ? known : [material.name, ...known];
  const guess = guessNote(material);
  const size = (with_: Partial<NonNullable<typeof stock>>) => stock && setStock({ ...stock, ...with_ });
  const was = first.stock;
  const changed = JSON.stringify(was) !== JSON.stringify(stock);
  const home = was ?? { xMm: 0, yMm: 0 };
  const isOther = material.name !== first.material.name;
  return (
    <>
      <p>
        Into{' '}
        <Choice
          label="Wood"
          value={material.name}
          options={names.map((name) => [name, name] as const)}
          after=","
          changed={isOther}
          onChange={(name) => setWood(woods.value.get(name) ?? first.material)}
        />
        {stock ? (
          <>
            {' '}
            <NumberField
              label="board width"
              value={stock.widthMm}
              min={1}
              max={5000}
              step={1}
              changed={stock.widthMm !== was?.widthMm}
              onChange={(widthMm) => size({ widthMm })}
            />
            {' × '}
            <NumberField
              label="board height"
              unit="mm"
              value={stock.heightMm}
              min={1}
              max={5000}
              step={1}
              changed={stock.heightMm !== was?.heightMm}
              onChange={(heightMm) => size({ heightMm })}
            />{' '}
            and{' '}
            <NumberField
              label="board thickness"
              unit="mm"
              value={stock.thicknessMm ?? 3}
              min={0.1}
              max={50}
              step={0.1}
              changed={stock.thicknessMm !== was?.thicknessMm}
              onChange={(thicknessMm) => size({ thicknessMm })}
            />{' '}
            thick, give or take{' '}
            <NumberField
              label="how well it is known how thick the board is"
              unit="mm"
              value={stock.thicknessPlusMinusMm ?? (stock.thicknessMm ?? 3) * THICKNESS_PART}
              min={0}
              max={(stock.thicknessMm ?? 3) / 2}
              step={0.01}
              digits={2}
              after=","
              changed={(stock.thicknessPlusMinusMm ?? null) !== (was?.thicknessPlusMinusMm ?? null)}
              onChange={(thicknessPlusMinusMm) => size({ thicknessPlusMinusMm })}
            />{' '}
            laid with its lower left corner at x{' '}
            <NumberField
              label="board corner x"
              value={stock.xMm}
              min={-5000}
              max={5000}
              step={1}
              after=","
              changed={stock.xMm !== was?.xMm}
              onChange={(xMm) => size({ xMm })}
            />{' '}
            y{' '}
            <NumberField
              label="board corner y"
              unit="mm"
              value={stock.yMm}
              min={-5000}
              max={5000}
              step={1}
              changed={stock.yMm !== was?.yMm}
              onChange={(yMm) => size({ yMm })}
            />{' '}
            of the machine.
          </>
        ) : (
          <>
            {' '}
            on a board of unknown size.{' '}
            <button
              type="button"
              class="link"
              onClick={() => setStock(boardToBegin(scene.value?.forecast.burnBounds ?? null))}
            >
              give its size
            </button>
          </>
        )}{' '}
        {changed || isOther ? (
          <>
            {' '}
            <span class="was">changed</span>
          </>
        ) : null}
        {isOther ? (
          <>
            {' '}
            <button type="button" class="link" onClick={() => setWood(first.material)}>
              put back the wood
            </button>
          </>
        ) : null}
        {changed ? (
          <>
            {' '}
            <button type="button" class="link" onClick={() => setStock(was)}>
              put back the board
            </button>
          </>
        ) : null}
      </p>
      {stock ? <LaidSentence /> : null}
      <OwnBoard />
      {stock ? <Spots /> : null}
      {stock && !stock.outline && (stock.xMm !== home.xMm || stock.yMm !== home.yMm) ? (
        <p class="aside">
          To burn it so, lay the board with its lower left corner at x {shownNumber(stock.xMm, 5)}, y{' '}
          {shownNumber(stock.yMm, 5)} mm of the machine; the file stays as it is.
        </p>
      ) : null}
      {guess ? (
        <p class="aside">
          <span class="swatch guess" /> <i>guess:</i> {guess.replace(/^How/, 'how')}{' '}
          <button
            type="button"
            class="link"
            onClick={() => {
              place.value = 'wood';
            }}
          >
            burn a swatch
          </button>
        </p>
      ) : null}
    </>
  );
}
