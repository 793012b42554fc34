/**
 * The wood's surface, put into three's own Lambert shader so that lights and shadows come with it. At time t
 * a share of a cell's energy has come; its tone then is the final tone, scaled by what the plain tone curve
 * says of that share, so that at the end it is exactly what was forecast.
 */
export const HEAD = /* glsl */ `
uniform sampler2D uSurface, uSpan, uMarks, uGrain, uWood, uMap, uPicture;
uniform vec2 uShift, uSurfaceScale, uArrivalScale, uTexel, uRange, uClip;
uniform vec3 uHead;
uniform float uThickness, uTime, uGlow, uOctaves, uMmPerTexel, uDeepest, uDuration, uWash;
uniform int uView;
varying vec2 vBoard;
varying vec2 vPlace;

float arrived(vec2 span, float visits, float t) {
  if (span.x > span.y || t < span.x) return 0.0;
  if (t >= span.y) return 1.0;
  if (visits < 1.5) return clamp((t - span.x) / max(span.y - span.x, 1e-5), 0.0, 1.0);
  float gap = (span.y - span.x) / (visits - 1.0);
  return (floor((t - span.x) / gap) + 1.0) / visits;
}

float agoOf(vec2 span, float visits, float t) {
  if (span.x > span.y || t < span.x) return 1e9;
  if (t >= span.y || visits < 1.5) return t - span.y;
  float gap = (span.y - span.x) / (visits - 1.0);
  return mod(t - span.x, gap);
}

float toneOfCode(float code) { return texture2D(uWood, vec2(code * 0.99609 + 0.00195, 0.5)).a; }

// What lies beyond a scale takes its end colour.
vec3 mapColour(float place) { return texture2D(uMap, vec2(clamp(place, 0.0, 1.0) * 0.99609 + 0.00195, 0.5)).rgb; }
`;

export const COLOUR = /* glsl */ `
if (vPlace.x < uClip.x || vPlace.x > uClip.y) discard;
vec2 shifted = vBoard - uShift;
bool onGrid = shifted == clamp(shifted, 0.0, 1.0);
vec2 surfaceAt = shifted * uSurfaceScale;
vec4 surface = texture2D(uSurface, surfaceAt, -0.4);
if (!onGrid) surface = vec4(0.0);
vec2 arrivalAt = shifted * uArrivalScale;
vec2 span = texture2D(uSpan, arrivalAt).rg;
vec4 marks = texture2D(uMarks, arrivalAt);
float visits = floor(marks.r * 255.0 + 0.5);
float share = uTime >= uDuration ? 1.0 : arrived(span, visits, uTime);
float covered = surface.b;
float code = covered > 0.0 ? surface.a / covered : 0.0;
float codeNow = share <= 0.0 ? 0.0 : max(0.0, code + log2(share) / uOctaves);
float whole = toneOfCode(code);
float tone = share >= 1.0 ? surface.r : surface.r * (whole > 0.0 ? min(1.0, toneOfCode(codeNow) / whole) : share);
float removedShare = share >= 1.0 ? 1.0 : smoothstep(0.0, 1.0, share) * step(0.3, tone);
float depth = surface.g * removedShare;
float open = share >= 1.0 ? uThickness * smoothstep(0.96, 1.0, surface.g) : 0.0;

float streak = (texture2D(uGrain, vBoard).r - 0.502) * 3.2;
vec3 wood = texture2D(uWood, vec2(tone * 0.99609 + 0.00195, 0.5)).rgb;
wood *= vec3(1.0) + vec3(0.20, 0.24, 0.32) * streak * (1.0 - 0.25 * tone);
float deep = depth * uDeepest;
wood *= 1.0 - 0.28 * deep / (deep + 0.8);
wood = mix(wood, vec3(0.011, 0.007, 0.005), open);

// The head's soft shadow falls away from the light.
vec2 away = (vPlace - uHead.xy - vec2(7.0, -6.0)) / vec2(8.5, 7.5);
wood *= 1.0 - 0.34 * uHead.z * exp(-dot(away, away));

vec3 shown = wood;
if (uView > 0) {
  float place = 0.0;
  if (uView == 1) place = (codeNow - uRange.x) / (uRange.y - uRange.x);
  else if (uView == 2) place = marks.g;
  else if (uView == 3) place = marks.b;
  else if (uView == 4) place = depth * uDeepest / uRange.y;
  else if (uView == 5) place = span.y / uRange.y;
  float bare = dot(wood, vec3(0.3, 0.5, 0.2));
  vec3 pale = mix(vec3(bare), vec3(0.80, 0.77, 0.72), uWash);
  float there = uView == 4 ? min(1.0, depth * uDeepest / 0.02) : step(0.001, share) * covered * smoothstep(uRange.x * 0.86, uRange.x, codeNow);
  if (uView == 6) {
    shown = texture2D(uPicture, vBoard).rgb;
  } else shown = mix(pale, mapColour(place), there);
}
diffuseColor.rgb = shown;

float ember = uGlow > 0.0 && uView == 0 ? exp(-agoOf(span, visits, uTime) / uGlow) * share * smoothstep(0.05, 0.3, surface.r) : 0.0;
`;

export const NORMAL = /* glsl */ `
if (uView == 0 || uView == 4) {
  float left = texture2D(uSurface, surfaceAt - vec2(uTexel.x, 0.0)).g;
  float right = texture2D(uSurface, surfaceAt + vec2(uTexel.x, 0.0)).g;
  float below = texture2D(uSurface, surfaceAt - vec2(0.0, uTexel.y)).g;
  float above = texture2D(uSurface, surfaceAt + vec2(0.0, uTexel.y)).g;
  vec2 slope = vec2(right - left, above - below) * uDeepest * removedShare / (2.0 * uMmPerTexel);
  slope = 0.55 * slope / (1.0 + length(slope));
  normal = normalize(mat3(viewMatrix) * normalize(vec3(slope, 1.0)));
}
`;

export const GLOW = /* glsl */ `
totalEmissiveRadiance += vec3(1.0, 0.27, 0.04) * ember * 0.9;
`;
