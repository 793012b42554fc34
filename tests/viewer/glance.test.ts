import { PerspectiveCamera } from 'three';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Bounds } from '../../src/grid.ts';
import { Eye } from '../../viewer/stage/eye.ts';
import { glance } from '../../viewer/stage/glance.ts';

const at = (minXMm: number, minYMm: number, widthMm: number, heightMm: number): Bounds => ({
  minXMm,
  minYMm,
  maxXMm: minXMm + widthMm,
  maxYMm: minYMm + heightMm,
});
const burnAlone = at(7, 7, 66, 31);
const shown = (whole: Bounds, job = 'key.nc', isPair = false) => ({ job, isPair, board: whole, whole });

describe('where the eye goes when another burn is shown', () => {
  test.each([
    ['the first one', 'whole', null, shown(burnAlone)],
    ['another job', 'whole', shown(burnAlone), shown(burnAlone, 'sign.nc')],
    ['a pair of another size', 'whole', shown(burnAlone), shown(at(0, 0, 90, 50), 'key.nc', true)],
    ['the board’s size is given', 'whole unless moved', shown(burnAlone), shown(at(0, 0, 90, 50))],
    ['its size is changed', 'whole unless moved', shown(at(0, 0, 90, 50)), shown(at(0, 0, 300, 200))],
    ['the board is moved', 'along', shown(at(0, 0, 90, 50)), shown(at(5, -3, 90, 50))],
    ['nothing of it is new', 'along', shown(burnAlone), shown(burnAlone)],
  ] as const)('%s: %s', (_, where, before, now) => {
    expect(glance(before, now)).toBe(where);
  });
});

describe('the whole board, unless the view was moved', () => {
  beforeEach(() => {
    vi.stubGlobal('matchMedia', () => ({ matches: true }));
    vi.stubGlobal('cancelAnimationFrame', () => {});
  });
  afterEach(() => vi.unstubAllGlobals());

  const page = new EventTarget();
  /** The view on a canvas that only listens. */
  const eyeOn = (canvas = new EventTarget()) =>
    new Eye(
      new PerspectiveCamera(24, 1.5),
      Object.assign(canvas, {
        style: {},
        getRootNode: () => page,
        ownerDocument: page,
      }) as unknown as HTMLCanvasElement,
      () => {},
    );

  test('is looked at with its new size', () => {
    const eye = eyeOn();
    eye.limits(400, 400);
    eye.frame(burnAlone);
    eye.frameUnlessMoved(at(0, 0, 300, 200));
    const { atMm, withinMm } = eye.gaze(600);
    expect(Math.hypot(atMm[0] - 150, atMm[1] - 100)).toBeLessThan(1e-9);
    expect(withinMm[0]).toBeGreaterThan(150);
  });

  test('is left alone where the person has turned to something else', () => {
    const eye = eyeOn();
    eye.limits(400, 400);
    eye.frame(burnAlone);
    eye.nudge(0.5, 0);
    const before = eye.gaze(600);
    eye.frameUnlessMoved(at(0, 0, 300, 200));
    expect(eye.gaze(600)).toEqual(before);
    eye.frame(burnAlone);
    eye.frameUnlessMoved(at(0, 0, 300, 200));
    const [xMm, yMm] = eye.gaze(600).atMm;
    expect(Math.hypot(xMm - 150, yMm - 100)).toBeLessThan(1e-9);
  });
});
