import { shippedMaterials } from '../../src/burn/shipped.ts';

export const poplar = shippedMaterials['poplar plywood']!;
