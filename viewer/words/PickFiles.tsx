import type { ComponentChildren } from 'preact';

/** The photos that a browser decodes by itself. */
export const PHOTO_FILES = 'image/jpeg,image/png';

export interface PickFilesProps {
  /** The kinds of files, as the `accept` of an input has them. */
  readonly accept: string;
  readonly multiple?: boolean;
  readonly onPicked: (files: File[]) => void;
  readonly children: ComponentChildren;
}

/** Words that, pressed, let files be chosen; the same file may be chosen again. */
export function PickFiles({ accept, multiple = false, onPicked, children }: PickFilesProps) {
  return (
    <label class="link pick">
      {children}
      <input
        type="file"
        accept={accept}
        multiple={multiple}
        onChange={({ currentTarget }) => {
          const files = [...(currentTarget.files ?? [])];
          currentTarget.value = '';
          onPicked(files);
        }}
      />
    </label>
  );
}
