/**
 * The key light, from the left, the back and above. One direction for all that is lit and all that throws a shadow.
 */
const FROM = [-0.85, 0.75, 1.6] as const;
const LENGTH = Math.hypot(FROM[0], FROM[1], FROM[2]);

/** Towards the light; of length 1. */
export const SUN = [FROM[0] / LENGTH, FROM[1] / LENGTH, FROM[2] / LENGTH] as const;
/** A ray of light climbs so far for each millimetre along the wood, mm. */
export const SUN_UP_PER_MM = FROM[2] / Math.hypot(FROM[0], FROM[1]);
/** Where the shadow of what stands 1 mm high ends, mm. */
export const SHADOW_PER_MM = [-FROM[0] / FROM[2], -FROM[1] / FROM[2]] as const;
