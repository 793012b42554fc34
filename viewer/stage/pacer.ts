/** Slower frames than this are worth drawing with fewer pixels while things move, ms. */
const SLOW_MS = 55;
const QUICK_MS = 18;
/** After so many quick ones in a row more pixels are tried. */
const QUICK_FRAMES = 20;
/** So long after the last frame the picture is drawn once more with all its pixels, ms. */
const REST_MS = 220;
/** A page that was not drawn for so long had other things to do than to wait for the card, ms. */
const LOOKED_MS = 5000;
/** Shares of the screen's pixels along each side; each new one costs a new drawing buffer, so there are few. */
const FINENESSES = [1, 0.75, 0.5] as const;

/**
 * Keeps drawing in step with the graphics card: never more than one frame under way, fewer pixels while a slow
 * card is asked for many frames in a row, all of them as soon as it is left in peace.
 */
export class Pacer {
  readonly #gl: WebGL2RenderingContext;
  readonly #paint: (fineness: number) => void;
  #asked = false;
  #fence: WebGLSync | null = null;
  #issuedMs = 0;
  #lookedMs = 0;
  /** Which of {@link FINENESSES} goes while things move. */
  #level = 0;
  #quick = 0;
  #resting: ReturnType<typeof setTimeout> | undefined;
  #final = false;
  #isHeld = false;
  /** A picture with all its pixels is due as soon as nothing else is awaited. */
  #isOwed = false;

  /** @param paint draws one frame with this share of the screen's pixels along each side. */
  constructor(gl: WebGL2RenderingContext, paint: (fineness: number) => void) {
    this.#gl = gl;
    this.#paint = paint;
    if (isSoftware(gl)) this.#level = FINENESSES.length - 1;
  }

  /** Asks for a frame; several requests before it share it. */
  ask(): void {
    this.#final = false;
    this.#request();
  }

  /** While another picture is on its way, nothing is drawn with all its pixels only to be thrown away. */
  hold(isHeld: boolean): void {
    this.#isHeld = isHeld;
    if (isHeld || !this.#isOwed) return;
    this.#isOwed = false;
    this.#rest();
  }

  /** Nothing is being drawn, and what has been drawn has all its pixels. */
  get idle(): boolean {
    return !this.#asked && !this.#isOwed && this.#resting === undefined && this.#finished();
  }

  #request(): void {
    if (this.#asked) return;
    this.#asked = true;
    requestAnimationFrame(this.#frame);
  }

  readonly #frame = (): void => {
    this.#asked = false;
    if (!this.#finished()) {
      this.#request();
      return;
    }
    clearTimeout(this.#resting);
    this.#resting = undefined;
    this.#isOwed = false;
    const fineness = this.#final ? 1 : FINENESSES[this.#level]!;
    this.#issuedMs = performance.now();
    this.#lookedMs = this.#issuedMs;
    this.#paint(fineness);
    this.#fence = this.#gl.fenceSync(this.#gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    this.#gl.flush();
    if (fineness < 1) this.#resting = setTimeout(this.#rest, REST_MS);
  };

  readonly #rest = (): void => {
    this.#resting = undefined;
    if (this.#isHeld) {
      this.#isOwed = true;
      return;
    }
    this.#final = true;
    this.#request();
  };

  /** Whether the card is done with the last frame; learns from how long it took. */
  #finished(): boolean {
    if (!this.#fence) return true;
    const gl = this.#gl;
    const nowMs = performance.now();
    const sinceLookedMs = nowMs - this.#lookedMs;
    this.#lookedMs = nowMs;
    if (gl.clientWaitSync(this.#fence, 0, 0) === gl.TIMEOUT_EXPIRED) return false;
    gl.deleteSync(this.#fence);
    this.#fence = null;
    if (sinceLookedMs > LOOKED_MS) return true;
    const tookMs = nowMs - this.#issuedMs;
    if (tookMs > SLOW_MS) this.#level = Math.min(FINENESSES.length - 1, this.#level + 1);
    this.#quick = tookMs < QUICK_MS ? this.#quick + 1 : 0;
    if (this.#quick >= QUICK_FRAMES && this.#level > 0) {
      this.#level--;
      this.#quick = 0;
    }
    return true;
  }

  dispose(): void {
    clearTimeout(this.#resting);
    if (this.#fence) this.#gl.deleteSync(this.#fence);
  }
}

/** Whether the processor stands in for a graphics card: then nobody need wait to learn that it is slow. */
function isSoftware(gl: WebGL2RenderingContext): boolean {
  const told = gl.getExtension('WEBGL_debug_renderer_info');
  return (
    told !== null &&
    /swiftshader|llvmpipe|software/i.test(String(gl.getParameter(told.UNMASKED_RENDERER_WEBGL)))
  );
}
