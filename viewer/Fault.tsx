import { fault } from './state/fault.ts';

/** What nobody expected to go wrong; a tree of its own, which stands even where the page's own does not. */
export function Fault() {
  if (fault.value === null) return null;
  return (
    <div class="trouble fault" role="alert">
      <p>{fault.value}</p>
      <button type="button" class="link" onClick={() => location.reload()}>
        open the page anew
      </button>
      <button
        type="button"
        class="link"
        onClick={() => {
          fault.value = null;
        }}
      >
        close
      </button>
    </div>
  );
}
