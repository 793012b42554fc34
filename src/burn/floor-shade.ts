/** A floor this deep, mm, gets half of the darkening that depth brings, and the most there is of it. */
const HALF_DARK_MM = 0.8;
const DARKENING = 0.22;

/**
 * How much darker a floor looks the deeper it lies, as light comes in at a slant past charred walls: a factor
 * on coded sRGB values, 1 on the surface. By eye, a guess; pictures show it, and a fit to a photo of burned
 * wood must know what a picture shows.
 */
export const floorShade = (depthMm: number): number => 1 - (DARKENING * depthMm) / (depthMm + HALF_DARK_MM);
