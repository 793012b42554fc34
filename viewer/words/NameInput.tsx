import type { ComponentProps } from 'preact';

export interface NameInputProps extends Pick<ComponentProps<'input'>, 'onInput' | 'onChange'> {
  readonly id: string;
  readonly label: string;
  readonly value: string;
}

/** What a machine or a wood is called. */
export function NameInput({ id, label, ...input }: NameInputProps) {
  return (
    <p class="named">
      <label for={id}>{label}</label>
      <input id={id} type="text" maxLength={60} autoComplete="off" {...input} />
    </p>
  );
}
