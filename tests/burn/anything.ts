import fc from 'fast-check';
import { shippedMaterials } from '../../src/burn/shipped.ts';

/** The name of any shipped material: shorter to read in a counterexample than the profile. */
export const anyWood = fc.constantFrom(...Object.keys(shippedMaterials));

export const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

export { fc };
export const wood = (name: string) => shippedMaterials[name]!;
