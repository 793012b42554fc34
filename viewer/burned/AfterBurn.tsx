import { Cautions } from '../bench/Bench.tsx';
import { Steps } from '../bench/Steps.tsx';
import { loaded, scene, setup, title } from '../state/store.ts';
import { HowItTurnedOut } from './HowItTurnedOut.tsx';
import { NotebookList } from './NotebookList.tsx';

/** After the burn: how it turned out, what that teaches, and every burn that was told of. */
export function AfterBurn() {
  const made = scene.value?.forecast;
  if (!setup.value) return null;
  return (
    <article class="page" aria-label="Notebook">
      <h1>After the burn</h1>
      <p class="under-title">
        <span>Every burn is a measurement.</span>
        <Steps />
      </p>
      <p class="lead">
        Was {title.value} burned as it lies on the bench? Say how it turned out, and wood and machine learn
        from it.
      </p>
      {made ? <HowItTurnedOut key={loaded.value?.job.name} made={made} /> : null}
      <NotebookList />
      <Cautions />
    </article>
  );
}
