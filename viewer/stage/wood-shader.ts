/**
 * The wood's surface, put into three's own Lambert shader so that lights and shadows come with it. At time t
 * a share of a place's energy has come; its tone then is the final tone, scaled by what the plain tone curve
 * says of that share, so that at the end it is exactly what was forecast.
 */
export const HEAD = /* glsl */ `
uniform sampler2D uSurface, uVisit, uDepth, uSpan, uVisits, uGrain, uWood, uMap, uPicture;
uniform vec2 uShift, uSurfaceFrom, uSurfaceSize, uArrivalFrom, uArrivalSize, uArrivalTexels, uTexel, uRange, uClip;
uniform vec4 uOwn;
uniform vec3 uHead, uBed;
uniform float uThickness, uTime, uGlow, uBeam, uOctaves, uMmPerTexel, uDeepest, uDuration, uPart, uWash;
uniform int uView;
varying vec2 vBoard;
varying vec2 vPlace;

float arrived(vec2 span, float visits, float t) {
  if (span.x > span.y || t < span.x) return 0.0;
  if (t >= span.y) return 1.0;
  if (visits < 1.5) return clamp((t - span.x) / max(span.y - span.x, 1e-5), 0.0, 1.0);
  float gap = max((span.y - span.x) / (visits - 1.0), 1e-5);
  return (floor((t - span.x) / gap) + 1.0) / visits;
}

// How long ago energy came last. A visit under way gets its energy where the beam is; a texel that joins several
// lines is under way from the first to the last of them, and most of that while the beam is elsewhere.
float agoOf(vec2 span, float visits, float t, bool isUnderBeam) {
  if (span.x > span.y || t < span.x) return 1e9;
  if (t >= span.y) return t - span.y;
  if (visits < 1.5) return isUnderBeam ? 0.0 : 1e9;
  float gap = max((span.y - span.x) / (visits - 1.0), 1e-5);
  return mod(t - span.x, gap);
}

float toneOfCode(float code) { return texture2D(uWood, vec2(code * 0.99609 + 0.00195, 0.5)).a; }

// What lies beyond a scale takes its end colour.
vec3 mapColour(float place) { return texture2D(uMap, vec2(clamp(place, 0.0, 1.0) * 0.99609 + 0.00195, 0.5)).rgb; }

// The mean over what a pixel covers. Rows as fine as pixels lie closer together than a chain of halved copies,
// read once a pixel, can tell apart: they would come out as bands that are not there. So a pixel that covers more
// than a texel is read at nine places a half pixel apart, from copies twice as fine.
vec4 meanOf(sampler2D map, vec2 at, vec2 dx, vec2 dy, bool isFar) {
  if (!isFar) return textureGrad(map, at, dx, dy);
  vec2 hx = 0.5 * dx, hy = 0.5 * dy;
  vec4 middle = textureGrad(map, at, hx, hy);
  vec4 sides = textureGrad(map, at - hx, hx, hy) + textureGrad(map, at + hx, hx, hy)
    + textureGrad(map, at - hy, hx, hy) + textureGrad(map, at + hy, hx, hy);
  vec4 corners = textureGrad(map, at - hx - hy, hx, hy) + textureGrad(map, at + hx - hy, hx, hy)
    + textureGrad(map, at - hx + hy, hx, hy) + textureGrad(map, at + hx + hy, hx, hy);
  return 0.25 * middle + 0.125 * sides + 0.0625 * corners;
}

// A line seen from afar is a small share of its pixels; it is drawn a little bolder, lest it vanish.
float bolder(float share) { return 1.0 - pow(1.0 - min(1.0, share), 2.5); }
`;

export const COLOUR = /* glsl */ `
if (vPlace.x < uClip.x || vPlace.x > uClip.y) discard;
vec2 place = vPlace - uShift;
bool onGrid = place == clamp(place, uOwn.xy, uOwn.zw);
vec2 pixelX = dFdx(vPlace), pixelY = dFdy(vPlace);
float pixelMm = max(length(pixelX), length(pixelY));
vec2 surfaceAt = (place - uSurfaceFrom) / uSurfaceSize;
bool isFar = pixelMm > 0.6 * uMmPerTexel;
vec4 surface = meanOf(uSurface, surfaceAt, pixelX / uSurfaceSize, pixelY / uSurfaceSize, isFar);
if (!onGrid) surface = vec4(0.0);

vec2 arrivalAt = (place - uArrivalFrom) / uArrivalSize;
vec2 arrivalX = pixelX / uArrivalSize, arrivalY = pixelY / uArrivalSize;
float arrivalMm = uArrivalSize.x / uArrivalTexels.x;
float size = max(0.0, log2(pixelMm / arrivalMm));
vec2 span = textureLod(uSpan, arrivalAt, size).rg;
// A place whose own texel was never touched, but whose neighbour's line reaches into it, goes by its neighbours.
for (int k = 0; k < 2; k++) if (span.x > span.y) {
  size += 1.0;
  span = textureLod(uSpan, arrivalAt, size).rg;
}
float visits = floor(textureLod(uVisits, arrivalAt, size).r * 255.0 + 0.5);
bool isLast = uTime >= uDuration;
float share = isLast ? 1.0 : arrived(span, visits, uTime);
float covered = surface.b;
float code = covered > 0.0 ? surface.a / covered : 0.0;
float codeNow = share <= 0.0 ? 0.0 : max(0.0, code + log2(share) / uOctaves);
float whole = toneOfCode(code);
float tone = share >= 1.0 ? surface.r : surface.r * (whole > 0.0 ? min(1.0, toneOfCode(codeNow) / whole) : share);
float removedShare = share >= 1.0 ? 1.0 : smoothstep(0.0, 1.0, share) * step(0.3, tone);
float depth = surface.g * removedShare;
vec4 deepness = vec4(0.0);
if (uView == 4 || uThickness > 0.0) {
  deepness = meanOf(uDepth, arrivalAt, arrivalX, arrivalY, uView == 4 && pixelMm > 0.6 * arrivalMm);
  if (!onGrid) deepness = vec4(0.0);
}

float streak = (texture2D(uGrain, vBoard).r - 0.502) * 3.2;
vec3 wood = texture2D(uWood, vec2(tone * 0.99609 + 0.00195, 0.5)).rgb;
wood *= vec3(1.0) + vec3(0.20, 0.24, 0.32) * streak * (1.0 - 0.25 * tone);
float deep = depth * uDeepest;
wood *= 1.0 - 0.28 * deep / (deep + 0.8);

// Cut through: the walls that face the light or the eye, and where one looks straight enough down, the bed.
float open = 0.0;
if (uThickness > 0.0 && share >= 1.0) {
  float mmOfView = max(0.05, pixelMm);
  vec2 reach = vec2(-1.0, 1.0) * mmOfView / uArrivalSize;
  float behind = textureGrad(uDepth, arrivalAt + reach, arrivalX, arrivalY).b;
  float ahead = textureGrad(uDepth, arrivalAt - reach, arrivalX, arrivalY).b;
  if (onGrid && deepness.b + behind > 0.0) {
    // Nearby the finer surface tells the edge; it is as deep as the wood is thick.
    float near = smoothstep(0.9, 0.99, surface.g) * smoothstep(0.0, 0.2, deepness.b);
    open = mix(near, deepness.b, clamp(pixelMm / arrivalMm, 0.0, 1.0));
    vec2 slant = (vPlace - cameraPosition.xy) / cameraPosition.z;
    vec2 beneath = slant * uThickness / uArrivalSize;
    float seen = smoothstep(0.2, 0.8, textureGrad(uDepth, arrivalAt + beneath, arrivalX, arrivalY).b);
    vec2 onward = slant * mmOfView / uArrivalSize;
    float wall = length(slant) * (1.0 - smoothstep(0.0, 0.8, textureGrad(uDepth, arrivalAt + onward, arrivalX, arrivalY).b));
    float lit = max(0.0, behind - ahead);
    wood += lit * (1.0 - open) * vec3(0.12, 0.08, 0.045);
    vec3 gap = mix(vec3(0.011, 0.007, 0.005), uBed, seen);
    gap = mix(gap, vec3(0.34, 0.17, 0.075), min(0.8, lit + 1.4 * wall));
    wood = mix(wood, gap, open);
  }
}

// The head's soft shadow falls away from the light.
vec2 away = (vPlace - uHead.xy - vec2(7.0, -6.0)) / vec2(8.5, 7.5);
wood *= 1.0 - 0.34 * uHead.z * exp(-dot(away, away));

vec3 shown = wood;
if (uView == 6) shown = texture2D(uPicture, vBoard).rgb;
else if (uView > 0) {
  float onScale = 0.0;
  float there = 0.0;
  if (uView == 1) {
    onScale = (codeNow - uRange.x) / (uRange.y - uRange.x);
    there = bolder(covered) * smoothstep(uRange.x * 0.86, uRange.x, codeNow);
  } else if (uView == 4) {
    onScale = deepness.g > 0.0 ? deepness.r / deepness.g * sqrt(removedShare * uPart) : 0.0;
    there = bolder(deepness.g) * step(0.001, removedShare);
  } else {
    vec4 visit = meanOf(uVisit, arrivalAt, arrivalX, arrivalY, pixelMm > 0.6 * arrivalMm);
    if (!onGrid) visit = vec4(0.0);
    vec3 last = visit.a > 0.0 ? visit.rgb / visit.a : vec3(0.0);
    onScale = (uView == 2 ? last.r : uView == 3 ? last.g : last.b) * uPart;
    there = bolder(visit.a) * step(0.001, share);
  }
  float bare = dot(wood, vec3(0.3, 0.5, 0.2));
  vec3 pale = mix(vec3(bare), vec3(0.80, 0.77, 0.72), uWash);
  shown = mix(pale, mapColour(onScale), there);
}
diffuseColor.rgb = shown;

bool isUnderBeam = uBeam > 0.0 && distance(place, uHead.xy) < uBeam + arrivalMm * exp2(size);
float ember = uGlow > 0.0 && uView == 0
  ? exp(-agoOf(span, visits, uTime, isUnderBeam) / uGlow) * share * smoothstep(0.05, 0.3, surface.r)
  : 0.0;
`;

export const NORMAL = /* glsl */ `
if (uView == 0 || uView == 4) {
  vec2 apart = max(1.0, pixelMm / uMmPerTexel) * uTexel;
  vec2 dx = 2.0 * pixelX / uSurfaceSize, dy = 2.0 * pixelY / uSurfaceSize;
  float left = textureGrad(uSurface, surfaceAt - vec2(apart.x, 0.0), dx, dy).g;
  float right = textureGrad(uSurface, surfaceAt + vec2(apart.x, 0.0), dx, dy).g;
  float below = textureGrad(uSurface, surfaceAt - vec2(0.0, apart.y), dx, dy).g;
  float above = textureGrad(uSurface, surfaceAt + vec2(0.0, apart.y), dx, dy).g;
  vec2 slope = vec2(right - left, above - below) * uDeepest * removedShare / (2.0 * max(uMmPerTexel, pixelMm));
  slope = 0.55 * (1.0 - open) * slope / (1.0 + length(slope));
  normal = normalize(mat3(viewMatrix) * normalize(vec3(slope, 1.0)));
}
`;

export const GLOW = /* glsl */ `
totalEmissiveRadiance += vec3(1.0, 0.27, 0.04) * ember * 0.9;
`;
