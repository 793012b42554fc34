import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { Setup } from '../../viewer/worker/messages.ts';
import { machineWith } from '../support/machines.ts';

/** A job of this text with nothing told but what must be. */
export const plainSetup = (text: string): Setup => ({
  job: { name: 'job.nc', text },
  machine: machineWith({}),
  material: shippedMaterials['poplar plywood']!,
  stock: null,
  changes: [],
  cellMm: null,
});
