import { beforeEach, describe, expect, test, vi } from 'vitest';
import { boardOf, GANTRY, type Trial, viewOf } from '../../viewer/learn/gantry.ts';
import { giveUp, tryOut } from '../../viewer/learn/try-out.ts';
import { Forecaster } from '../../viewer/worker/client.ts';
import { runErrand } from '../../viewer/worker/errand.ts';
import { hire } from '../../viewer/worker/hire.ts';
import type { Forget, Glimpse, PostedWish, Scene } from '../../viewer/worker/messages.ts';
import { plainSetup } from './plain-setup.ts';

/** A worker that does as the test says. */
class Told {
  readonly posted: PostedWish[] = [];
  /** How often it was told to forget what it keeps. */
  forgot = 0;
  isEnded = false;
  onmessage: (event: { data: unknown }) => void = () => {};
  onerror: (event: Pick<ErrorEvent, 'message' | 'preventDefault'>) => void = () => {};
  postMessage(wish: PostedWish | Forget): void {
    if ('forget' in wish) this.forgot++;
    else this.posted.push(wish);
  }
  terminate(): void {
    this.isEnded = true;
  }
  answers(data: object): void {
    this.onmessage({ data });
  }
  fails(message = ''): void {
    this.onerror({ message, preventDefault: () => {} });
  }
}

let workers: Told[] = [];
vi.mock('../../viewer/worker/make-worker.ts', () => ({
  makeWorker: () => {
    workers.push(new Told());
    return workers.at(-1);
  },
}));
/** Whoever rests from what was before is hired away. */
const hireAll = () => {
  for (const _ of [1, 2]) hire();
  workers = [];
};
beforeEach(hireAll);

const wishOf = (text: string) => ({
  setup: plainSetup(text),
  texels: 1000,
  live: true,
});

const sceneOn = (buffers: readonly (readonly [number, ArrayBuffer | null])[]) => ({
  value: { of: buffers.map(([n]) => ({ onKeptBuffer: n, kind: 'Uint8Array', byteOffset: 0, length: 2 })) },
  kept: new Map(buffers),
});
const GLIMPSE = {} as Glimpse;

test('a job’s text is handed to a worker once, and anew to the one that takes over', () => {
  const forecaster = new Forecaster();
  const listener = { done: vi.fn(), refused: vi.fn() };
  forecaster.ask(wishOf('G1'), listener);
  workers[0]!.answers({ kind: 'done', id: 1, scene: sceneOn([]) });
  forecaster.ask(wishOf('G1'), listener);
  workers[0]!.answers({ kind: 'done', id: 2, scene: sceneOn([]) });
  forecaster.ask(wishOf('G2'), listener);
  const told = workers[0]!.posted.map(({ isTextKept, setup }) => [isTextKept, setup.job.text]);
  expect(told).toEqual([
    [false, 'G1'],
    [true, ''],
    [false, 'G2'],
  ]);
  forecaster.ask(wishOf('G2'), listener);
  expect(workers[0]!.isEnded).toBe(true);
  const next = workers.find(({ posted, isEnded }) => posted.length > 0 && !isEnded)!;
  expect(next.posted.map(({ isTextKept, setup }) => [isTextKept, setup.job.text])).toEqual([[false, 'G2']]);
  expect(listener.done).toHaveBeenCalledTimes(2);
});

test('a second worker begins to load only once a wish has waited so long that it may be needed', () => {
  vi.useFakeTimers();
  const forecaster = new Forecaster(60_000);
  const listener = { done: vi.fn(), refused: vi.fn() };
  for (const id of [1, 2]) {
    forecaster.ask(wishOf('G1'), listener);
    workers[0]!.answers({ kind: 'done', id, scene: sceneOn([]) });
  }
  expect(workers).toHaveLength(1);
  forecaster.ask(wishOf('G1'), listener);
  for (const power of [1, 2]) forecaster.ask(wishOf(`G1 S${power}`), listener);
  vi.advanceTimersByTime(59_000);
  expect(workers).toHaveLength(1);
  vi.advanceTimersByTime(900);
  vi.useRealTimers();
  expect(workers).toHaveLength(2);
  const [first, second] = workers as [Told, Told];
  forecaster.cancel();
  expect(first.isEnded).toBe(true);
  forecaster.ask(wishOf('G1'), listener);
  expect(second.posted).toHaveLength(1);
  expect(workers).toHaveLength(2);
});

test('where nothing waits any more, no second worker loads; and none for one that was ended, until it is asked', () => {
  vi.useFakeTimers();
  const forecaster = new Forecaster(400);
  const listener = { done: vi.fn(), refused: vi.fn() };
  workers[0]!.answers({ kind: 'ready' });
  for (const text of ['G1', 'G2']) forecaster.ask(wishOf(text), listener);
  for (const id of [1, 2]) workers[0]!.answers({ kind: 'done', id, scene: sceneOn([]) });
  forecaster.ask(wishOf('G3'), listener);
  forecaster.ask(wishOf('G4'), listener);
  forecaster.cancel();
  vi.advanceTimersByTime(10_000);
  vi.useRealTimers();
  expect(listener.done).toHaveBeenCalledTimes(2);
  expect(workers.map(({ isEnded }) => isEnded)).toEqual([true]);
  forecaster.makeReady();
  forecaster.ask(wishOf('G5'), listener);
  expect(workers[1]!.posted.map(({ setup }) => setup.job.text)).toEqual(['G5']);
  expect(workers).toHaveLength(2);
});

test('patience is longer for the first forecast, whose code is still being compiled', () => {
  vi.useFakeTimers();
  const forecaster = new Forecaster(400);
  const listener = { done: vi.fn(), refused: vi.fn() };
  workers[0]!.answers({ kind: 'ready' });
  for (const text of ['G1', 'G2']) forecaster.ask(wishOf(text), listener);
  vi.advanceTimersByTime(900);
  workers[0]!.answers({ kind: 'done', id: 1, scene: sceneOn([]) });
  vi.advanceTimersByTime(90);
  workers[0]!.answers({ kind: 'done', id: 2, scene: sceneOn([]) });
  expect(listener.done).toHaveBeenCalledTimes(2);
  // From then on as long as the longest has taken.
  for (const text of ['G3', 'G4']) forecaster.ask(wishOf(text), listener);
  vi.advanceTimersByTime(890);
  expect(workers[0]!.isEnded).toBe(false);
  vi.advanceTimersByTime(20);
  vi.useRealTimers();
  expect(workers[0]!.isEnded).toBe(true);
});

test('a wish that has been glimpsed makes room for a newer one, and what it handed over stays known', () => {
  const forecaster = new Forecaster(60_000);
  const [first, second] = [1, 2].map(() => ({ done: vi.fn(), refused: vi.fn(), glimpsed: vi.fn() }));
  const [worker] = workers as [Told];
  worker.answers({ kind: 'ready' });
  forecaster.ask(wishOf('G1'), first!);
  forecaster.ask(wishOf('G1'), second!);
  expect(worker.posted).toHaveLength(1);
  worker.answers({ kind: 'glimpse', id: 1, glimpse: GLIMPSE });
  expect(first!.glimpsed).toHaveBeenCalledWith(GLIMPSE);
  expect(worker.posted.map(({ id }) => id)).toEqual([1, 2]);
  expect(worker.isEnded).toBe(false);
  // It had begun already on the first one’s scene.
  worker.answers({ kind: 'done', id: 1, scene: sceneOn([[1, Uint8Array.of(7, 8).buffer]]) });
  expect(first!.done).not.toHaveBeenCalled();
  worker.answers({ kind: 'done', id: 2, scene: sceneOn([[1, null]]) });
  const made = second!.done.mock.calls[0]![0] as Scene & { readonly of: Uint8Array[] };
  expect([...made.of[0]!]).toEqual([7, 8]);
});

describe('a worker that is still loading', () => {
  const listener = { done: vi.fn(), refused: vi.fn() };
  const posted = () => workers[0]!.posted.map(({ setup }) => setup.job.text);

  test('is asked for the newest wish at once, and gets on with it without another beside it', () => {
    vi.useFakeTimers();
    const forecaster = new Forecaster(400);
    const [old, newer] = [1, 2].map(() => ({ done: vi.fn(), refused: vi.fn() }));
    forecaster.ask(wishOf('G1'), old!);
    vi.advanceTimersByTime(10_000);
    forecaster.ask(wishOf('G2'), newer!);
    expect(posted()).toEqual(['G1', 'G2']);
    workers[0]!.answers({ kind: 'ready' });
    // Patience begins once it has loaded.
    forecaster.ask(wishOf('G2'), newer!);
    vi.advanceTimersByTime(390);
    expect(workers[0]!.isEnded).toBe(false);
    workers[0]!.answers({ kind: 'done', id: 2, scene: sceneOn([]) });
    expect(posted()).toEqual(['G1', 'G2', '']);
    vi.useRealTimers();
    expect(old!.done).not.toHaveBeenCalled();
    expect(newer!.done).toHaveBeenCalledTimes(1);
  });

  test('stays where what it was asked for is taken back, which is answered to nobody', () => {
    const forecaster = new Forecaster();
    forecaster.ask(wishOf('G1'), listener);
    forecaster.cancel();
    expect(workers).toHaveLength(1);
    expect(workers[0]).toMatchObject({ forgot: 1, isEnded: false });
    workers[0]!.answers({ kind: 'ready' });
    workers[0]!.answers({ kind: 'done', id: 1, scene: sceneOn([]) });
    expect(listener.done).not.toHaveBeenCalled();
    forecaster.ask(wishOf('G1'), listener);
    // It was told to forget the text, too.
    expect(posted()).toEqual(['G1', 'G1']);
    workers[0]!.answers({ kind: 'done', id: 2, scene: sceneOn([]) });
    expect(listener.done).toHaveBeenCalledTimes(1);
    expect(workers).toHaveLength(1);
  });

  test('rests where nobody waits for it any more', () => {
    const forecaster = new Forecaster();
    forecaster.ask(wishOf('G1'), listener);
    forecaster.end();
    expect(workers[0]).toMatchObject({ forgot: 1, isEnded: false });
    expect(hire()).toBe(workers[0]);
  });
});

describe('a worker without work', () => {
  const errand = { errand: 'finish', setup: wishOf('G1').setup, told: '1: not through' } as const;
  const listener = { done: vi.fn(), refused: vi.fn() };

  test('goes from errand to forecast and on, and forgets in between', async () => {
    const first = runErrand(errand);
    workers[0]!.answers({ kind: 'errand done', result: { text: 'M3' } });
    await expect(first).resolves.toEqual({ text: 'M3' });
    expect(workers[0]!.forgot).toBe(1);
    const refused = runErrand(errand);
    workers[0]!.answers({ kind: 'errand refused', sentence: 'It is cut through.', fault: false });
    await expect(refused).rejects.toThrow('It is cut through.');
    for (const text of ['G1', 'G1']) {
      const forecaster = new Forecaster();
      forecaster.ask(wishOf(text), listener);
      workers[0]!.answers({ kind: 'done', id: 1, scene: sceneOn([]) });
      forecaster.end();
    }
    // It has forgotten the text of the job before: that is handed over again.
    expect(workers[0]!.posted.slice(2).map(({ isTextKept }) => isTextKept)).toEqual([false, false]);
    expect(workers[0]!.forgot).toBe(4);
    expect(workers).toHaveLength(1);
    expect(workers[0]!.isEnded).toBe(false);
  });

  test('has none where what was asked for leaves nothing behind for the next wish, and then serves others', () => {
    const told = { done: vi.fn(), refused: vi.fn() };
    const [dragged, last] = [new Forecaster(), new Forecaster()];
    dragged.ask(wishOf('G1'), told);
    last.ask({ ...wishOf('G1'), live: false }, told);
    for (const worker of workers) worker.answers({ kind: 'done', id: 1, scene: sceneOn([]) });
    expect(workers.map(({ forgot }) => forgot)).toEqual([0, 1]);
    const other = new Forecaster();
    other.ask(wishOf('G2'), told);
    expect(workers[1]!.posted.map(({ setup }) => setup.job.text)).toEqual(['G1', 'G2']);
    // Whoever asks again has another, which has not heard of the job.
    last.ask({ ...wishOf('G1'), live: false }, told);
    expect(workers[2]!.posted).toMatchObject([{ isTextKept: false, setup: { job: { text: 'G1' } } }]);
    workers[2]!.answers({ kind: 'done', id: 2, scene: sceneOn([]) });
    expect(told.done).toHaveBeenCalledTimes(3);
  });

  test('rests beside one other: a third is ended, and so is one that is let go in the midst of its work', async () => {
    const [idle, other, third, busy] = [0, 1, 2, 3].map(() => new Forecaster());
    workers[3]!.answers({ kind: 'ready' });
    busy!.ask(wishOf('G1'), listener);
    for (const each of [busy, idle, other, third]) each!.end();
    expect(workers.map(({ isEnded }) => isEnded)).toEqual([false, false, true, true]);
    expect(hire()).toBe(workers[1]);
    expect(hire()).toBe(workers[0]);
    hire();
    expect(workers).toHaveLength(5);
  });

  test('that fails at rest is not hired', () => {
    new Forecaster().end();
    workers[0]!.fails();
    expect(hire()).toBe(workers[1]);
  });
});

describe('a worker that fails without saying why', () => {
  const refused = vi.fn();
  const listener = { done: vi.fn(), refused };
  const said = (): string => refused.mock.calls.at(-1)![0].sentence;
  const NOT_STARTED =
    'no worker could be started for it; this browser may let no page start one, or charcast view, if the page came from there, has been ended';

  test('before its first message was never started; once it was ready, memory may be short', () => {
    const forecaster = new Forecaster();
    // One that fails before it is asked makes room for another, which may fail alike.
    workers[0]!.fails();
    forecaster.ask(wishOf('G1'), listener);
    workers[1]!.fails();
    expect(said()).toBe(`The forecast stopped: ${NOT_STARTED}.`);
    // Ready before it is asked, or only then.
    forecaster.makeReady();
    workers[2]!.answers({ kind: 'ready' });
    forecaster.ask(wishOf('G1'), listener);
    workers[2]!.fails();
    expect(said()).toBe('The forecast stopped: the page may have run out of memory.');
    forecaster.ask(wishOf('G1'), listener);
    workers[3]!.answers({ kind: 'ready' });
    workers[3]!.fails();
    expect(said()).toBe('The forecast stopped: the page may have run out of memory.');
    forecaster.ask(wishOf('G1'), listener);
    workers[4]!.fails('out of room');
    expect(said()).toBe('The forecast stopped: out of room.');
    expect(refused).toHaveBeenCalledTimes(4);
    expect(listener.done).not.toHaveBeenCalled();
  });

  test('ends an errand in the same words', async () => {
    const errand = { errand: 'finish', setup: wishOf('G1').setup, told: '1: not through' } as const;
    const unstarted = runErrand(errand);
    workers[0]!.fails();
    await expect(unstarted).rejects.toThrow(new Error(`the work stopped: ${NOT_STARTED}`));
    const begun = runErrand(errand);
    workers[1]!.answers({ kind: 'ready' });
    workers[1]!.fails();
    await expect(begun).rejects.toThrow(new Error('the work stopped: the page may have run out of memory'));
    expect(workers.map(({ isEnded }) => isEnded)).toEqual([true, true]);
  });
});

describe('experiments', () => {
  const board = boardOf(10, 10);
  const trial: Trial = { text: 'G1', machine: GANTRY, stock: board, cellMm: 0.1, figure: viewOf(board, 100) };
  const asked = (name: string) => {
    const told = { done: vi.fn(), refused: vi.fn() };
    tryOut(name, trial, told);
    return told.done;
  };
  const posted = () => workers.flatMap((worker) => worker.posted.map(({ setup }) => setup.job.name));
  const isDone = (worker: number) => {
    const { id } = workers[worker]!.posted.at(-1)!;
    workers[worker]!.answers({ kind: 'done', id, scene: sceneOn([]) });
  };
  beforeEach(() => {
    // Their worker goes with what is given up: each test begins with none.
    asked('a');
    giveUp('a');
    hireAll();
  });

  test('each experiment’s newest wish waits its turn', () => {
    const first = asked('a');
    const old = asked('b');
    const other = asked('c');
    const newer = asked('b');
    expect(posted()).toEqual(['a']);
    for (const _ of [1, 2, 3]) isDone(0);
    expect(posted()).toEqual(['a', 'b', 'c']);
    for (const done of [first, newer, other]) expect(done).toHaveBeenCalledTimes(1);
    expect(old).not.toHaveBeenCalled();
  });

  test('what takes long is ended for a newer wish of the same experiment, and the others still come', () => {
    vi.useFakeTimers();
    const old = asked('a');
    const other = asked('b');
    workers[0]!.answers({ kind: 'ready' });
    const newer = asked('a');
    vi.advanceTimersByTime(10_000);
    vi.useRealTimers();
    expect(workers[0]!.isEnded).toBe(true);
    isDone(1);
    isDone(1);
    expect(posted()).toEqual(['a', 'a', 'b']);
    expect(old).not.toHaveBeenCalled();
    expect(newer).toHaveBeenCalledTimes(1);
    expect(other).toHaveBeenCalledTimes(1);
  });

  test('what nobody looks at any more is not burned', async () => {
    const [left, leftToo, looked] = ['a', 'b', 'c'].map(asked);
    workers[0]!.answers({ kind: 'ready' });
    giveUp('a');
    giveUp('b');
    expect(workers[0]!.isEnded).toBe(true);
    await Promise.resolve();
    isDone(1);
    expect(posted()).toEqual(['a', 'c']);
    expect(looked).toHaveBeenCalledTimes(1);
    for (const done of [left, leftToo]) expect(done).not.toHaveBeenCalled();
  });
});
