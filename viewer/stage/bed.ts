import {
  CanvasTexture,
  LinearMipmapLinearFilter,
  Mesh,
  MeshLambertMaterial,
  PlaneGeometry,
  SRGBColorSpace,
} from 'three';
import type { Palette } from './palette.ts';

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
  texture.anisotropy = anisotropy;
  const bed = new Mesh(new PlaneGeometry(w, h), new MeshLambertMaterial({ map: texture }));
  bed.position.set(widthMm / 2, heightMm / 2, 0);
  bed.receiveShadow = true;
  return bed;
}

export function dropBed(bed: Mesh): void {
  const material = bed.material as MeshLambertMaterial;
  material.map?.dispose();
  material.dispose();
  bed.geometry.dispose();
}
