import {
  CanvasTexture,
  LinearMipmapLinearFilter,
  Mesh,
  PlaneGeometry,
  ShaderMaterial,
  SRGBColorSpace,
  Vector4,
} from 'three';
import type { Bounds } from '../../src/grid.ts';
import type { Palette } from './palette.ts';
import { SHADOW_PER_MM } from './sun.ts';

/** Centimetres as fine lines, and a number every 5 cm, as on a cutting mat. */
const LINE_MM = 10;
const NUMBER_MM = 50;

/** The machine's work area, with its zero in the lower left corner. */
export function makeBed(widthMm: number, heightMm: number, palette: Palette, anisotropy: number): Mesh {
  const marginMm = 45;
  const w = widthMm + 2 * marginMm;
  const h = heightMm + 2 * marginMm;
  const pxPerMm = Math.min(6, 3000 / Math.max(w, h));
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(w * pxPerMm);
  canvas.height = Math.round(h * pxPerMm);
  const draw = canvas.getContext('2d')!;
  const x = (mm: number) => (mm + marginMm) * pxPerMm;
  const y = (mm: number) => canvas.height - (mm + marginMm) * pxPerMm;
  draw.fillStyle = `#${palette.bed.toString(16).padStart(6, '0')}`;
  draw.fillRect(0, 0, canvas.width, canvas.height);
  draw.strokeStyle = palette.bedLine;
  for (const [end, along] of [
    [widthMm, 'x'],
    [heightMm, 'y'],
  ] as const) {
    for (let mm = 0; mm <= end + 1e-6; mm += LINE_MM) {
      draw.globalAlpha = mm % NUMBER_MM === 0 ? 0.9 : 0.4;
      draw.lineWidth = Math.max(1, pxPerMm * (mm % NUMBER_MM === 0 ? 0.22 : 0.14));
      draw.beginPath();
      if (along === 'x') {
        draw.moveTo(x(mm), y(0));
        draw.lineTo(x(mm), y(heightMm));
      } else {
        draw.moveTo(x(0), y(mm));
        draw.lineTo(x(widthMm), y(mm));
      }
      draw.stroke();
    }
  }
  draw.globalAlpha = 1;
  draw.fillStyle = palette.bedInk;
  draw.font = `${4.6 * pxPerMm}px "Source Serif 4", Georgia, serif`;
  draw.textAlign = 'center';
  draw.textBaseline = 'top';
  for (let mm = 0; mm <= widthMm; mm += NUMBER_MM) draw.fillText(String(mm), x(mm), y(-2));
  draw.textAlign = 'right';
  draw.textBaseline = 'middle';
  for (let mm = NUMBER_MM; mm <= heightMm; mm += NUMBER_MM) draw.fillText(String(mm), x(-2), y(mm));
  const texture = new CanvasTexture(canvas);
  texture.colorSpace = SRGBColorSpace;
  texture.minFilter = LinearMipmapLinearFilter;
  texture.anisotropy = Math.min(2, anisotropy);
  const material = new ShaderMaterial({
    uniforms: {
      uMap: { value: texture },
      uBoard: { value: new Vector4() },
      uBottom: { value: 1 },
      uTop: { value: 1 },
      uLevel: { value: palette.level },
    },
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
  });
  const bed = new Mesh(new PlaneGeometry(w, h).translate(widthMm / 2, heightMm / 2, 0), material);
  bed.frustumCulled = false;
  return bed;
}

/** Lays a board over the bed, whose shadow falls on it; `bottomMm` and `topMm` above it. */
export function shadeBed(bed: Mesh, board: Bounds, bottomMm: number, topMm: number): void {
  const { uniforms } = bed.material as ShaderMaterial;
  uniforms.uBoard!.value.set(board.minXMm, board.minYMm, board.maxXMm, board.maxYMm);
  uniforms.uBottom!.value = bottomMm;
  uniforms.uTop!.value = topMm;
}

const VERTEX = /* glsl */ `
varying vec2 vAt;
varying vec2 vPlace;
void main() {
  vAt = uv;
  vPlace = position.xy;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
`;

/** The board's shadow has a closed form: a rectangle's edges, softer the higher what throws it. */
const FRAGMENT = /* glsl */ `
uniform sampler2D uMap;
uniform vec4 uBoard;
uniform float uBottom, uTop, uLevel;
varying vec2 vAt;
varying vec2 vPlace;

float under(float heightMm, float soft) {
  vec2 at = vPlace - heightMm * vec2(${SHADOW_PER_MM.join(', ')});
  vec2 low = smoothstep(uBoard.xy - soft, uBoard.xy + soft, at);
  vec2 high = 1.0 - smoothstep(uBoard.zw - soft, uBoard.zw + soft, at);
  return low.x * low.y * high.x * high.y;
}

void main() {
  float shade = max(max(under(uBottom, 0.35 * uBottom), under(uTop, 0.35 * uTop)), under(0.5 * (uBottom + uTop), 0.35 * uTop));
  // The board keeps the sky from what lies close around it, too.
  float sky = under(0.0, 2.2 * uTop);
  float light = uLevel * (1.056 - 0.42 * shade - 0.14 * sky);
  gl_FragColor = vec4(texture2D(uMap, vAt).rgb * light * vec3(1.0, 0.963, 0.913), 1.0);
  #include <colorspace_fragment>
}
`;

export function dropBed(bed: Mesh): void {
  const material = bed.material as ShaderMaterial;
  material.uniforms.uMap!.value.dispose();
  material.dispose();
  bed.geometry.dispose();
}
