import { lab } from 'd3-color';
import type { Lab } from '../../src/burn/material.ts';

/** A colour for the style sheet from CIELAB, by the same conversion as the pictures. */
export const cssOfLab = ([l, a, b]: Lab): string => lab(l, a, b).formatRgb();
