import {
  CanvasTexture,
  Color,
  LinearMipmapLinearFilter,
  Mesh,
  PlaneGeometry,
  ShaderMaterial,
  Vector2,
  Vector4,
} from 'three';
import type { Bounds } from '../../src/grid.ts';
import type { Palette } from './palette.ts';
import { SHADOW_PER_MM } from './sun.ts';

/** Centimetres as fine lines, and a number every 5 cm, as on a cutting mat; this far beside the work area. */
const LINE_MM = 10;
const NUMBER_MM = 50;
const BESIDE_MM = 2;
/** The bed goes on so far around the work area. */
const MARGIN_MM = 45;

/** Numbers are written so fine, each in a place of its own, which four digits fit into. */
const PX_PER_MM = 6;
const DIGITS_MM = 4.6;
const PLACE_MM = { wide: 12, high: 6 } as const;

/** The machine's work area, with its zero in the lower left corner. */
export function makeBed(widthMm: number, heightMm: number, anisotropy: number): Mesh {
  const material = new ShaderMaterial({
    uniforms: {
      uNumbers: { value: numbersTo(Math.max(widthMm, heightMm), anisotropy) },
      uArea: { value: new Vector2(widthMm, heightMm) },
      uCount: { value: countTo(Math.max(widthMm, heightMm)) },
      uBed: { value: new Color() },
      uLine: { value: new Color() },
      uInk: { value: new Color() },
      uBoard: { value: new Vector4() },
      uBottom: { value: 1 },
      uTop: { value: 1 },
      uLevel: { value: 1 },
    },
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
  });
  const plane = new PlaneGeometry(widthMm + 2 * MARGIN_MM, heightMm + 2 * MARGIN_MM);
  const bed = new Mesh(plane.translate(widthMm / 2, heightMm / 2, 0), material);
  bed.frustumCulled = false;
  return bed;
}

const countTo = (endMm: number): number => Math.floor(endMm / NUMBER_MM) + 1;

/** All numbers up to here side by side: above as they stand below the work area, below as left of it. */
function numbersTo(endMm: number, anisotropy: number): CanvasTexture {
  const canvas = document.createElement('canvas');
  const [wide, high] = [PLACE_MM.wide * PX_PER_MM, PLACE_MM.high * PX_PER_MM];
  canvas.width = countTo(endMm) * wide;
  canvas.height = 2 * high;
  const draw = canvas.getContext('2d')!;
  draw.font = `${DIGITS_MM * PX_PER_MM}px "Source Serif 4", Georgia, serif`;
  for (let k = 0; k < countTo(endMm); k++) {
    const text = String(k * NUMBER_MM);
    draw.textAlign = 'center';
    draw.textBaseline = 'top';
    draw.fillText(text, (k + 0.5) * wide, 0);
    draw.textAlign = 'right';
    draw.textBaseline = 'middle';
    draw.fillText(text, (k + 1) * wide, 1.5 * high);
  }
  const texture = new CanvasTexture(canvas);
  texture.minFilter = LinearMipmapLinearFilter;
  texture.anisotropy = Math.min(2, anisotropy);
  return texture;
}

/** Gives the bed the colours of a light or dark room. */
export function paintBed(bed: Mesh, palette: Palette): void {
  const { uniforms } = bed.material as ShaderMaterial;
  uniforms.uBed!.value.set(palette.bed);
  uniforms.uLine!.value.set(palette.bedLine);
  uniforms.uInk!.value.set(palette.bedInk);
  uniforms.uLevel!.value = palette.level;
}

/** Lays a board over the bed, whose shadow falls on it; `bottomMm` and `topMm` above it. */
export function shadeBed(bed: Mesh, board: Bounds, bottomMm: number, topMm: number): void {
  const { uniforms } = bed.material as ShaderMaterial;
  uniforms.uBoard!.value.set(board.minXMm, board.minYMm, board.maxXMm, board.maxYMm);
  uniforms.uBottom!.value = bottomMm;
  uniforms.uTop!.value = topMm;
}

const VERTEX = /* glsl */ `
varying vec2 vPlace;
void main() {
  vPlace = position.xy;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
`;

/**
 * Lines are drawn as the mean over what a pixel covers, so that they are fine from near and quiet from afar. The board's
 * shadow has a closed form too: a rectangle's edges, softer the higher what throws it.
 */
const FRAGMENT = /* glsl */ `
uniform sampler2D uNumbers;
uniform vec2 uArea;
uniform vec3 uBed, uLine, uInk;
uniform vec4 uBoard;
uniform float uCount, uBottom, uTop, uLevel;
varying vec2 vPlace;

// Of all up to a place, how much is line: from the middle of one on, which are so wide and so far apart.
vec2 lineUpTo(vec2 place, float apart, float wide) {
  vec2 at = place / apart + 0.5;
  return wide * floor(at) + clamp((fract(at) - 0.5) * apart, -0.5 * wide, 0.5 * wide);
}

// Of a pixel's width and height, how much lies on such lines.
vec2 linesAt(vec2 place, vec2 pixel, float apart, float wide) {
  // From the nearest one, for no small difference of large numbers is as fine as that.
  vec2 near = place - apart * floor(place / apart + 0.5);
  return (lineUpTo(near + 0.5 * pixel, apart, wide) - lineUpTo(near - 0.5 * pixel, apart, wide)) / pixel;
}

float under(float heightMm, float soft) {
  vec2 at = vPlace - heightMm * vec2(${SHADOW_PER_MM.join(', ')});
  vec2 low = smoothstep(uBoard.xy - soft, uBoard.xy + soft, at);
  vec2 high = 1.0 - smoothstep(uBoard.zw - soft, uBoard.zw + soft, at);
  return low.x * low.y * high.x * high.y;
}

void main() {
  vec2 across = dFdx(vPlace), along = dFdy(vPlace);
  vec2 pixel = abs(across) + abs(along) + 1e-4;
  vec2 lines = max(0.4 * linesAt(vPlace, pixel, ${LINE_MM}.0, 0.16), 0.9 * linesAt(vPlace, pixel, ${NUMBER_MM}.0, 0.22));
  vec2 within = clamp((vPlace + 0.11) / pixel + 0.5, 0.0, 1.0) * clamp((uArea + 0.11 - vPlace) / pixel + 0.5, 0.0, 1.0);
  vec3 shown = mix(uBed, uLine, (1.0 - (1.0 - lines.x) * (1.0 - lines.y)) * within.x * within.y);

  // Numbers along the lower edge, and up the left one but for its 0.
  bool isLeft = vPlace.y > 0.0;
  vec2 size = vec2(${PLACE_MM.wide}, ${PLACE_MM.high});
  float number = floor((isLeft ? vPlace.y : vPlace.x) / ${NUMBER_MM}.0 + 0.5);
  vec2 middle = isLeft
    ? vec2(-${BESIDE_MM}.0 - 0.5 * size.x, ${NUMBER_MM}.0 * number)
    : vec2(${NUMBER_MM}.0 * number, -${BESIDE_MM}.0 - 0.5 * size.y);
  vec2 at = (vPlace - middle) / size + 0.5;
  bool isThere = at == clamp(at, 0.0, 1.0) && number == clamp(number, isLeft ? 1.0 : 0.0, (isLeft ? uArea.y : uArea.x) / ${NUMBER_MM}.0);
  vec2 sheet = vec2(uCount, 2.0);
  vec2 on = (vec2(number, isLeft ? 0.0 : 1.0) + at) / sheet;
  float ink = textureGrad(uNumbers, on, across / size / sheet, along / size / sheet).a;
  shown = mix(shown, uInk, isThere ? ink : 0.0);

  float shade = max(max(under(uBottom, 0.35 * uBottom), under(uTop, 0.35 * uTop)), under(0.5 * (uBottom + uTop), 0.35 * uTop));
  // The board keeps the sky from what lies close around it, too.
  float sky = under(0.0, 2.2 * uTop);
  float light = uLevel * (1.056 - 0.42 * shade - 0.14 * sky);
  gl_FragColor = vec4(shown * light * vec3(1.0, 0.963, 0.913), 1.0);
  #include <colorspace_fragment>
}
`;

export function dropBed(bed: Mesh): void {
  const material = bed.material as ShaderMaterial;
  material.uniforms.uNumbers!.value.dispose();
  material.dispose();
  bed.geometry.dispose();
}
