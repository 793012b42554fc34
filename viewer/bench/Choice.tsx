export interface ChoiceProps<T extends string> {
  readonly label: string;
  readonly value: T;
  readonly options: readonly (readonly [T, string])[];
  readonly changed?: boolean;
  /** The mark that follows, kept on the word's line. */
  readonly after?: string;
  readonly onChange: (value: T) => void;
}

/** A word in a sentence that can be exchanged for another. */
export function Choice<T extends string>({
  label,
  value,
  options,
  changed,
  after,
  onChange,
}: ChoiceProps<T>) {
  const shown = options.find(([key]) => key === value)?.[1] ?? value;
  return (
    <span class={changed ? 'choice changed' : 'choice'}>
      <span aria-hidden="true">{shown}</span>
      <select aria-label={label} value={value} onChange={(event) => onChange(event.currentTarget.value as T)}>
        {options.map(([key, words]) => (
          <option key={key} value={key}>
            {words}
          </option>
        ))}
      </select>
      {after}
    </span>
  );
}
