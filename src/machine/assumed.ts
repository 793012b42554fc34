/**
 * What is assumed where nobody names a machine or a wood: an everyday gantry, and the wood most people begin with.
 * The command line and the page assume the same.
 */
export const ASSUMED_MACHINE = { name: 'an assumed 5 W gantry', laser: { optical_power_w: 5 } };
export const ASSUMED_WOOD = 'poplar plywood';
