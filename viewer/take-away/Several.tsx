import { useEffect, useRef } from 'preact/hooks';
import { ROW_HEADINGS } from '../../src/compare/job-row.ts';
import { putAway, several } from '../state/several.ts';
import { load } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';

/** Several jobs side by side, from which one is opened. */
export function Several() {
  const dialog = useRef<HTMLDialogElement>(null);
  const isOpen = several.value.length > 0;
  useEffect(() => {
    if (isOpen) dialog.current?.showModal();
    else dialog.current?.close();
  }, [isOpen]);
  return (
    <dialog ref={dialog} class="several" aria-labelledby="several-heading" onClose={putAway}>
      {isOpen ? <Table /> : null}
    </dialog>
  );
}

function Table() {
  const jobs = several.value;
  const { machine, material } = jobs[0]!.setup;
  const open = async (k: number) => {
    const { setup } = jobs[k]!;
    if (await load(setup, { name: setup.job.name })) putAway();
  };
  return (
    <div class="several-sheet">
      <h2 id="several-heading" class="several-title">
        {jobs.length} jobs
      </h2>
      <p class="lead">
        Each as {machine.name} burns it in {material.name}. Press one to open it.
      </p>
      <div class="scrolled">
        <table class="compare-table">
          <thead>
            <tr>
              <th scope="col">job</th>
              {Object.values(ROW_HEADINGS).map((heading) => (
                <th key={heading} scope="col">
                  {heading}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {jobs.map(({ setup, row }, k) => (
              <tr key={`${k} ${setup.job.name}`}>
                <th scope="row">
                  <button
                    type="button"
                    class="link"
                    aria-disabled={typeof row === 'string'}
                    onClick={() => typeof row === 'string' || void open(k)}
                  >
                    {setup.job.name}
                  </button>
                </th>
                {row === null || typeof row === 'string' ? (
                  <td colSpan={4} class={row === null ? 'quiet' : 'over'}>
                    <Kept>{row ?? 'waits …'}</Kept>
                  </td>
                ) : (
                  (Object.keys(ROW_HEADINGS) as (keyof typeof ROW_HEADINGS)[]).map((key) => (
                    <td key={key}>
                      <Kept>{row[key]}</Kept>
                    </td>
                  ))
                )}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p>
        <button type="button" class="link" onClick={putAway}>
          leave the bench as it is
        </button>
      </p>
    </div>
  );
}
