export interface ModesProps<T extends string> {
  /** What a screen reader calls them together. */
  readonly legend: string;
  readonly value: T;
  readonly options: readonly (readonly [T, string])[];
  readonly onChange: (value: T) => void;
}

/** Ways of looking, of which one is chosen. */
export function Modes<T extends string>({ legend, value, options, onChange }: ModesProps<T>) {
  return (
    <fieldset class="modes">
      <legend class="hidden">{legend}</legend>
      {options.map(([key, words]) => (
        <label key={key} class={value === key ? 'on' : ''}>
          <input type="radio" name={legend} checked={value === key} onChange={() => onChange(key)} />
          {words}
        </label>
      ))}
    </fieldset>
  );
}
