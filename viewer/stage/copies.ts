import type { DataTexture, WebGLRenderer } from 'three';

/**
 * A texture's chain of ever smaller copies, made with a wider filter than the card's own. The card halves by the
 * mean of two by two; of rows three or four texels apart so much is left in such copies that they show bands which
 * are not there. The filter 1 3 3 1 in both directions, again and again, comes close to a smooth bell.
 */
export class Copies {
  readonly #renderer: WebGLRenderer;
  readonly #gl: WebGL2RenderingContext;
  #program: WebGLProgram | null = null;
  #frame: WebGLFramebuffer | null = null;
  #empty: WebGLVertexArrayObject | null = null;
  /** Textures that have theirs. */
  #made = new WeakSet<DataTexture>();

  constructor(renderer: WebGLRenderer) {
    this.#renderer = renderer;
    this.#gl = renderer.getContext() as WebGL2RenderingContext;
    renderer.domElement.addEventListener('webglcontextlost', () => {
      this.#program = null;
      this.#made = new WeakSet();
    });
  }

  /** Uploads a texture and makes its copies, unless it has them; not while a frame is being drawn. */
  make(texture: DataTexture): void {
    const gl = this.#gl;
    if (gl.isContextLost() || this.#made.has(texture)) return;
    this.#renderer.initTexture(texture);
    const { __webglTexture: own } = this.#renderer.properties.get(texture) as {
      __webglTexture?: WebGLTexture;
    };
    if (!own) return;
    this.#made.add(texture);
    if (!this.#program) this.#begin();
    gl.useProgram(this.#program);
    gl.bindVertexArray(this.#empty);
    gl.bindFramebuffer(gl.FRAMEBUFFER, this.#frame);
    for (const what of [gl.BLEND, gl.DEPTH_TEST, gl.STENCIL_TEST, gl.SCISSOR_TEST, gl.CULL_FACE])
      gl.disable(what);
    gl.colorMask(true, true, true, true);
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, own);
    const { width, height } = texture.image as { width: number; height: number };
    const last = Math.floor(Math.log2(Math.max(width, height)));
    // One size is read at a time: software would read two, and each twice, as for a board that is tilted.
    const aniso = gl.getExtension('EXT_texture_filter_anisotropic');
    if (aniso) gl.texParameterf(gl.TEXTURE_2D, aniso.TEXTURE_MAX_ANISOTROPY_EXT, 1);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR);
    for (let level = 1; level <= last; level++) {
      gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_BASE_LEVEL, level - 1);
      gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAX_LEVEL, level - 1);
      gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, own, level);
      gl.viewport(0, 0, Math.max(1, width >> level), Math.max(1, height >> level));
      gl.drawArrays(gl.TRIANGLES, 0, 3);
    }
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_BASE_LEVEL, 0);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAX_LEVEL, last);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
    if (aniso && texture.anisotropy > 1)
      gl.texParameterf(gl.TEXTURE_2D, aniso.TEXTURE_MAX_ANISOTROPY_EXT, texture.anisotropy);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, null, 0);
    this.#renderer.resetState();
  }

  #begin(): void {
    const gl = this.#gl;
    const program = gl.createProgram();
    for (const [kind, source] of [
      [gl.VERTEX_SHADER, CORNERS],
      [gl.FRAGMENT_SHADER, HALVE],
    ] as const) {
      const shader = gl.createShader(kind)!;
      gl.shaderSource(shader, source);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    this.#program = program;
    this.#frame = gl.createFramebuffer();
    this.#empty = gl.createVertexArray();
  }
}

/** One triangle over all of the target. */
const CORNERS = `#version 300 es
out vec2 at;
void main() {
  at = vec2(gl_VertexID == 1 ? 2.0 : 0.0, gl_VertexID == 2 ? 2.0 : 0.0);
  gl_Position = vec4(2.0 * at - 1.0, 0.0, 1.0);
}`;

/** Between two texels a quarter of the way, the card's own interpolation weighs them 3 to 1. */
const HALVE = `#version 300 es
precision highp float;
uniform sampler2D finer;
in vec2 at;
out vec4 mean;
void main() {
  vec2 d = 0.75 / vec2(textureSize(finer, 0));
  mean = 0.25 * (texture(finer, at - d) + texture(finer, at + d)
    + texture(finer, at + vec2(d.x, -d.y)) + texture(finer, at + vec2(-d.x, d.y)));
}`;
