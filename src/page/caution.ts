/** Said wherever a forecast is told. */
export const CAUTION =
  'A forecast is not a safety clearance. Wear eyewear rated for the wavelength, keep watch with an extinguisher at ' +
  'hand, ventilate, never burn PVC, vinyl or unknown plastics, and follow the machine’s manual and local rules.';
