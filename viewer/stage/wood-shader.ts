import { SUN, SUN_UP_PER_MM } from './sun.ts';

/**
 * The wood. At time t a share of a place's energy has come; its tone then is the final tone, scaled by what the plain
 * tone curve says of that share, so that at the end it is exactly what was forecast. Depth is the geometry's; what
 * has come free lies lower. While things move on a slow card a pixel reads each texture once.
 */
const UNIFORMS = /* glsl */ `
uniform sampler2D uSurface, uVisit, uDepth, uSpan, uVisits, uGrain, uWood, uMap, uPicture, uPiece, uFall, uFace, uCells;
uniform vec2 uCellsFrom, uCellsSize, uShift, uSurfaceFrom, uSurfaceSize, uArrivalFrom, uArrivalSize, uArrivalTexels, uTexel, uRange, uClip;
uniform vec2 uWholeFrom, uWholeSize, uFaceFrom, uFaceSize;
uniform vec4 uOwn;
uniform vec3 uHead;
uniform mat3 uTurn;
uniform float uTime, uGlow, uBeam, uBeamLight, uOctaves, uMmPerTexel, uDeepest, uDuration, uPart, uWash, uLevel;
uniform float uDrop, uPly, uLifted, uOnly, uIsRough;
varying vec2 vBoard;
varying vec3 vLocal;
varying float vDrop;

float arrived(vec2 span, float visits, float t) {
  if (span.x > span.y || t < span.x) return 0.0;
  if (t >= span.y) return 1.0;
  if (visits < 1.5) return clamp((t - span.x) / max(span.y - span.x, 1e-5), 0.0, 1.0);
  float gap = max((span.y - span.x) / (visits - 1.0), 1e-5);
  return (floor((t - span.x) / gap) + 1.0) / visits;
}

// Texels hold what light falls on; beyond them the wood is bare, and goes on as it is at their rim. There only the finest
// copy is all bare.
bool isWithin(vec2 at) { return at == clamp(at, 0.0, 1.0); }
vec4 copyOf(sampler2D map, vec2 at, float size) { return textureLod(map, at, isWithin(at) ? size : 0.0); }

float markAt(vec2 arrivalAt) {
  vec2 place = uArrivalFrom + arrivalAt * uArrivalSize;
  if (place != clamp(place, uOwn.xy, uOwn.zw)) return 0.0;
  return floor(textureLod(uPiece, arrivalAt, 0.0).r * 255.0 + 0.5);
}

bool isFree(float mark) {
  return mark > 0.5 && (uTime >= uDuration || uTime >= texelFetch(uFall, ivec2(int(mark), 0), 0).r);
}

// The board and what has come free of it are drawn one after the other from the same net: 0 the board, 1 what lies
// lower, 2 the part that is held in the hand.
bool isOfThisPass(float mark) {
#if PASS == 2
  return mark == uOnly;
#else
  if (mark > 0.5 && mark == uLifted) return false;
  return isFree(mark) == (PASS == 1);
#endif
}
`;

export const VERTEX = /* glsl */ `
${UNIFORMS}
void main() {
  vec2 place = position.xy - uShift;
  vec2 at = (place - uArrivalFrom) / uArrivalSize;
  float z = uShift == vec2(0.0) ? position.z : 0.0;
#if UNDER_WAY
  {
    vec2 span = textureLod(uSpan, at, 0.0).rg;
    float visits = floor(textureLod(uVisits, at, 0.0).r * 255.0 + 0.5);
    z *= smoothstep(0.0, 1.0, arrived(span, visits, uTime));
  }
#endif
  vDrop = PASS == 1 ? uDrop : 0.0;
  vBoard = (position.xy - uWholeFrom) / uWholeSize;
  vLocal = vec3(position.xy, z);
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position.xy, z - vDrop, 1.0);
}
`;

/** What cut wood looks like: plies across each other by turns, glue between them, and light. */
const CUT_WOOD = /* glsl */ `
// Every other ply shows its end grain, which is darker; between two lies a thread of glue.
vec3 plyColour(vec3 bare, float z, float streak) {
  float ply = -z / uPly;
  float isAcross = mod(floor(ply), 2.0);
  float toGlue = min(fract(ply), 1.0 - fract(ply)) * uPly;
  vec3 shown = bare * mix(0.94, 0.72, isAcross) * (1.0 + streak * mix(0.35, 0.9, isAcross));
  return shown * mix(0.72, 1.0, smoothstep(0.02, 0.09, toGlue));
}

vec3 lightOn(vec3 normal, float shade) {
  float sun = 0.78 * max(0.0, dot(normal, vec3(${SUN.join(', ')}))) * (1.0 - shade);
  vec3 sky = 0.42 * mix(vec3(0.686, 0.578, 0.434), vec3(1.0), 0.5 + 0.5 * normal.z);
  return uLevel * (sky + sun * vec3(1.0, 0.939, 0.855));
}
`;

/**
 * The wood's look. A graphics card in software runs through every branch it is given, so what differs from one way of
 * looking to the next is decided when the shader is made ({@link Look}); only loops are passed over where they have
 * nothing to do.
 */
export const FRAGMENT = /* glsl */ `
${UNIFORMS}
${CUT_WOOD}
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

// The mean over a pixel, as well as there is time for.
vec4 seenOf(sampler2D map, vec2 at, vec2 dx, vec2 dy, float size, bool isFar) {
#if ROUGH
  return textureLod(map, at, size);
#else
  return meanOf(map, at, dx, dy, isFar);
#endif
}

// Wood between here and the sun throws its soft shadow into what lies deeper.
float shadeAt(vec2 surfaceAt, vec2 arrivalAt, float deep, float size) {
  float below = deep + vDrop;
  vec2 towards = normalize(vec2(${SUN[0]}, ${SUN[1]}));
  float shade = 0.0;
  int taps = below < 0.03 ? 0 : ROUGH == 1 ? 2 : 4;
  for (int k = 0; k < taps; k++) {
    float part = (float(k) + 0.7) / float(taps);
    float reach = below * part / ${SUN_UP_PER_MM};
    vec2 away = reach * towards;
    float near = max(size, max(0.0, log2(0.25 * reach / uMmPerTexel)));
    float higher = deep - copyOf(uSurface, surfaceAt + away / uSurfaceSize, near).g * uDeepest;
#if PASS == 1
    higher += vDrop * (1.0 - copyOf(uDepth, arrivalAt + away / uArrivalSize, near).a);
#endif
    shade = max(shade, smoothstep(0.0, 0.25 + 0.3 * reach, higher - reach * ${SUN_UP_PER_MM}));
  }
  return shade;
}

void main() {
  vec2 vPlace = vLocal.xy;
  vec2 place = vPlace - uShift;
  vec2 pixelX = dFdx(vPlace), pixelY = dFdy(vPlace);
  vec3 face = cross(dFdx(vLocal), dFdy(vLocal));
  face = length(face) > 0.0 ? normalize(face) : vec3(0.0, 0.0, 1.0);
  if (face.z < 0.0) face = -face;
  float pixelMm = max(length(pixelX), length(pixelY));
  vec2 arrivalAt = (place - uArrivalFrom) / uArrivalSize;
  float arrivalMm = uArrivalSize.x / uArrivalTexels.x;
  float size = max(0.0, log2(pixelMm / arrivalMm));
  if (vPlace.x < uClip.x || vPlace.x > uClip.y) discard;
  float alpha = 1.0;
#if PIECES
  if (!isOfThisPass(markAt(arrivalAt))) alpha = 0.0;
#if !ROUGH && !UNDER_WAY && PASS < 2
  if (uLifted == 0.0) {
    // Where all has come free, edges are as smooth as the share of a pixel that has.
    float isLoose = copyOf(uDepth, arrivalAt, size).a;
    float into = (isLoose - 0.5) / max(fwidth(isLoose), 0.02);
    // What is lower reaches a pixel under the board: shares of one pixel need not fill it together.
    alpha = clamp(PASS == 0 ? 0.5 - into : 1.5 + into, 0.0, 1.0);
  }
#endif
  if (alpha < 0.02) discard;
#endif
  vec2 surfaceAt = (place - uSurfaceFrom) / uSurfaceSize;
  bool isFar = pixelMm > 0.6 * uMmPerTexel;
  float surfaceLod = max(0.0, log2(pixelMm / uMmPerTexel));
  vec4 surface = seenOf(uSurface, surfaceAt, pixelX / uSurfaceSize, pixelY / uSurfaceSize, surfaceLod, isFar);
  bool onGrid = place == clamp(place, uOwn.xy, uOwn.zw) && isWithin(surfaceAt) && isWithin(arrivalAt);
  if (!onGrid) surface = vec4(0.0);

  vec2 arrivalX = pixelX / uArrivalSize, arrivalY = pixelY / uArrivalSize;
  float covered = surface.b;
  float code = covered > 0.0 ? surface.a / covered : 0.0;
#if UNDER_WAY
  vec2 span = textureLod(uSpan, arrivalAt, size).rg;
  float timeSize = size;
  // A place whose own texel was never touched, but whose neighbour's line reaches into it, goes by its neighbours.
  for (int k = 0; k < 2 && covered > 0.0 && span.x > span.y; k++) {
    timeSize += 1.0;
    span = textureLod(uSpan, arrivalAt, timeSize).rg;
  }
  float visits = floor(textureLod(uVisits, arrivalAt, timeSize).r * 255.0 + 0.5);
  float share = covered > 0.0 ? arrived(span, visits, uTime) : 1.0;
  float codeNow = share <= 0.0 ? 0.0 : max(0.0, code + log2(share) / uOctaves);
  float whole = toneOfCode(code);
  float tone = share >= 1.0 ? surface.r : surface.r * (whole > 0.0 ? min(1.0, toneOfCode(codeNow) / whole) : share);
  float removedShare = share >= 1.0 ? 1.0 : smoothstep(0.0, 1.0, share) * step(0.3, tone);
#else
  float share = 1.0;
  float codeNow = code;
  float tone = surface.r;
  float removedShare = 1.0;
#endif
  float depth = surface.g * removedShare;
#if VIEW == 4 || (CUT && !ROUGH)
  vec4 deepness = seenOf(uDepth, arrivalAt, arrivalX, arrivalY, size, VIEW == 4 && pixelMm > 0.6 * arrivalMm);
  if (!onGrid) deepness = vec4(0.0);
#endif

  float streak = (texture2D(uGrain, vBoard).r - 0.502) * 3.2;
  vec3 wood = texture2D(uWood, vec2(tone * 0.99609 + 0.00195, 0.5)).rgb;
#if FACE
  // A person's own board, as photographed: a tone darkens it as much as other wood, and char has its own colour.
  vec4 own = texture2D(uFace, (vPlace - uFaceFrom) / uFaceSize);
  if (own.a < 0.5) discard;
  wood = mix(own.rgb * wood / textureLod(uWood, vec2(0.002, 0.5), 0.0).rgb, wood, tone * tone);
#else
  wood *= vec3(1.0) + vec3(0.20, 0.24, 0.32) * streak * (1.0 - 0.25 * tone);
#endif
  float deep = depth * uDeepest;
  wood *= 1.0 - 0.28 * deep / (deep + 0.8);

#if CUT && !ROUGH
  // Cut through: nothing is left; from afar the kerf is a dark thread.
  float open = share >= 1.0 ? deepness.b : 0.0;
  if (pixelMm < 0.62 * arrivalMm && open > 0.5) discard;
  wood = mix(wood, vec3(0.02, 0.012, 0.008), 0.85 * open);
#endif

  // The walls of what is cut or engraved: charred, the plies showing through.
  float wall = smoothstep(0.35, 0.7, 1.0 - face.z);
  for (int once = 0; once < (wall > 0.0 ? 1 : 0); once++) {
    float thread = (textureLod(uGrain, vec2(0.11 * (vPlace.x + vPlace.y), 0.21 * vLocal.z), 1.0).r - 0.5) * 2.0;
    vec3 charred = textureLod(uWood, vec2(0.9, 0.5), 0.0).rgb;
    vec3 ply = plyColour(textureLod(uWood, vec2(0.002, 0.5), 0.0).rgb, vLocal.z, thread);
    wood = mix(wood, mix(ply, charred, 0.55 + 0.2 * thread), wall);
  }

  // The head's soft shadow falls away from the light.
#if UNDER_WAY
  vec2 away = (vPlace - uHead.xy - vec2(7.0, -6.0)) / vec2(8.5, 7.5);
  wood *= 1.0 - 0.34 * uHead.z * exp(-dot(away, away));
#endif

  vec3 shown = wood;
#if VIEW == 6
  shown = texture2D(uPicture, vBoard).rgb;
#elif VIEW > 0
#if VIEW == 1
  float onScale = (codeNow - uRange.x) / (uRange.y - uRange.x);
  float there = bolder(covered) * smoothstep(uRange.x * 0.86, uRange.x, codeNow);
#elif VIEW == 7
  // A map of its own cells: its value, and the share of the texel that has one.
  vec2 cell = texture2D(uCells, (vPlace - uCellsFrom) / uCellsSize).rg;
  float onScale = cell.g > 0.0 ? cell.r / cell.g * uPart : 0.0;
  float there = bolder(covered) * smoothstep(uRange.x * 0.86, uRange.x, codeNow);
#elif VIEW == 4
  float onScale = deepness.g > 0.0 ? deepness.r / deepness.g * sqrt(removedShare * uPart) : 0.0;
  float there = bolder(deepness.g) * step(0.001, removedShare);
#else
  vec4 visit = seenOf(uVisit, arrivalAt, arrivalX, arrivalY, size, pixelMm > 0.6 * arrivalMm);
  if (!onGrid) visit = vec4(0.0);
  vec3 last = visit.a > 0.0 ? visit.rgb / visit.a : vec3(0.0);
  float onScale = (VIEW == 2 ? last.r : VIEW == 3 ? last.g : last.b) * uPart;
  float there = bolder(visit.a) * step(0.001, share);
#endif
  float bare = dot(wood, vec3(0.3, 0.5, 0.2));
  vec3 pale = mix(vec3(bare), vec3(0.80, 0.77, 0.72), uWash);
  shown = mix(pale, mapColour(onScale), there);
#endif

  vec3 normal = vec3(0.0, 0.0, 1.0);
  float shade = 0.0;
#if VIEW == 0 || VIEW == 4
#if ROUGH
  // The slope along the screen, taken back to the board.
  vec2 rise = vec2(dFdx(deep), dFdy(deep));
  float turned = pixelX.x * pixelY.y - pixelX.y * pixelY.x;
  vec2 slope = abs(turned) > 1e-12
    ? vec2(rise.x * pixelY.y - rise.y * pixelX.y, rise.y * pixelX.x - rise.x * pixelY.x) / turned
    : vec2(0.0);
#else
  vec2 slope = vec2(0.0);
  for (int once = 0; once < (surface.b > 0.0 ? 1 : 0); once++) {
    vec2 apart = max(1.0, pixelMm / uMmPerTexel) * uTexel;
    vec2 dx = 2.0 * pixelX / uSurfaceSize, dy = 2.0 * pixelY / uSurfaceSize;
    float left = textureGrad(uSurface, surfaceAt - vec2(apart.x, 0.0), dx, dy).g;
    float right = textureGrad(uSurface, surfaceAt + vec2(apart.x, 0.0), dx, dy).g;
    float below = textureGrad(uSurface, surfaceAt - vec2(0.0, apart.y), dx, dy).g;
    float above = textureGrad(uSurface, surfaceAt + vec2(0.0, apart.y), dx, dy).g;
    slope = vec2(right - left, above - below) * uDeepest * removedShare / (2.0 * max(uMmPerTexel, pixelMm));
  }
#endif
  slope = 0.55 * slope / (1.0 + length(slope));
  normal = normalize(mix(vec3(slope, 1.0), face, wall));
#endif
#if VIEW == 0
  shade = 0.75 * shadeAt(surfaceAt, arrivalAt, deep, surfaceLod);
#endif
  vec3 light = lightOn(normalize(uTurn * normal), shade);
  vec3 glow = vec3(0.0);
#if UNDER_WAY && VIEW == 0
  vec2 from = vPlace - uHead.xy;
  light += uBeamLight * vec3(0.9, 0.42, 0.2) * exp(-dot(from, from) / 7.0);
  bool isUnderBeam = uBeam > 0.0 && length(from) < uBeam + arrivalMm * exp2(timeSize);
  if (uGlow > 0.0)
    glow = vec3(1.0, 0.27, 0.04) * 0.9 * exp(-agoOf(span, visits, uTime, isUnderBeam) / uGlow) * share
      * smoothstep(0.05, 0.3, surface.r) * step(0.001, covered);
#endif
  gl_FragColor = vec4(shown * light + glow, alpha);
  #include <colorspace_fragment>
}
`;

/** The underside of a part: bare, but for the kerf where it left the wood, and its charred edge. */
export const BACK_VERTEX = /* glsl */ `
${UNIFORMS}
void main() {
  vLocal = position;
  vBoard = (position.xy - uWholeFrom) / uWholeSize;
  vDrop = 0.0;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
`;

export const BACK_FRAGMENT = /* glsl */ `
${UNIFORMS}
${CUT_WOOD}
void main() {
  vec2 at = (vLocal.xy - uArrivalFrom) / uArrivalSize;
  if (markAt(at) != uOnly) discard;
  float arrivalMm = uArrivalSize.x / uArrivalTexels.x;
  float pixelMm = max(length(dFdx(vLocal.xy)), length(dFdy(vLocal.xy)));
  float size = log2(pixelMm / arrivalMm);
  if (copyOf(uDepth, at, max(0.0, size)).b > 0.5) discard;
  float streak = (texture2D(uGrain, vec2(1.0 - vBoard.x, vBoard.y)).r - 0.502) * 3.2;
  vec3 wood = texture2D(uWood, vec2(0.002, 0.5)).rgb * (0.96 + 0.22 * streak);
  // Smoke and heat brown the edge of the exit for half a millimetre or so.
  float near = copyOf(uDepth, at, max(size, log2(0.5 / arrivalMm))).b;
  float close = copyOf(uDepth, at, max(size, log2(0.16 / arrivalMm))).b;
  wood = mix(wood, texture2D(uWood, vec2(0.45, 0.5)).rgb, smoothstep(0.02, 0.5, near));
  wood = mix(wood, texture2D(uWood, vec2(0.88, 0.5)).rgb, smoothstep(0.02, 0.3, close));
  vec3 normal = normalize(uTurn * vec3(0.0, 0.0, -1.0));
  gl_FragColor = vec4(wood * lightOn(normal, 0.0), 1.0);
  #include <colorspace_fragment>
}
`;

/** The walls between pieces, as one sees them from where a kerf is no wider than a pixel. */
export const WALL_VERTEX = /* glsl */ `
${UNIFORMS}
attribute float owner;
varying vec3 vFace;
void main() {
  vLocal = position;
  vFace = normal;
  vBoard = vec2(0.0);
  vDrop = 0.0;
  // A part that is not free yet has no walls.
  bool isShown = PASS == 2 ? owner == uOnly : owner < 0.5 || (owner != uLifted && isFree(owner));
  if (PASS < 2 && isFree(owner)) vDrop = uDrop;
  gl_Position = isShown
    ? projectionMatrix * modelViewMatrix * vec4(position.xy, position.z - vDrop, 1.0)
    : vec4(0.0, 0.0, 9.0, 1.0);
}
`;

export const WALL_FRAGMENT = /* glsl */ `
${UNIFORMS}
varying vec3 vFace;
${CUT_WOOD}
void main() {
  float pixelMm = max(length(dFdx(vLocal)), length(dFdy(vLocal)));
  if (uIsRough < 0.5 && pixelMm < 0.62 * uArrivalSize.x / uArrivalTexels.x) discard;
  if (vLocal.x < uClip.x || vLocal.x > uClip.y) discard;
  float thread = (texture2D(uGrain, vec2(0.11 * (vLocal.x + vLocal.y), 0.21 * vLocal.z)).r - 0.5) * 2.0;
  vec3 charred = texture2D(uWood, vec2(0.9, 0.5)).rgb;
  vec3 wood = mix(plyColour(texture2D(uWood, vec2(0.002, 0.5)).rgb, vLocal.z, thread), charred, 0.55 + 0.2 * thread);
  gl_FragColor = vec4(wood * lightOn(normalize(uTurn * vFace), 0.0), 1.0);
  #include <colorspace_fragment>
}
`;

/** The board's own sides. */
export const SIDE_VERTEX = /* glsl */ `
varying vec3 vLocal;
varying vec3 vFace;
void main() {
  vLocal = position;
  vFace = normal;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
`;

export const SIDE_FRAGMENT = /* glsl */ `
uniform sampler2D uGrain, uWood;
uniform float uPly, uLevel;
varying vec3 vLocal;
varying vec3 vFace;
${CUT_WOOD}
void main() {
  float along = abs(vFace.x) > 0.5 ? vLocal.y : vLocal.x;
  float streak = (texture2D(uGrain, vec2(0.013 * along, 0.16 * vLocal.z)).r - 0.5) * 1.4;
  vec3 wood = plyColour(texture2D(uWood, vec2(0.002, 0.5)).rgb, vLocal.z, streak);
  gl_FragColor = vec4(wood * lightOn(vFace, 0.0), 1.0);
  #include <colorspace_fragment>
}
`;

/** What a shader of the wood is made for. */
export interface Look {
  readonly view: number;
  /** Things move on a slow card. */
  readonly isRough: boolean;
  /** The job has not come to its end yet. */
  readonly isUnderWay: boolean;
  /** Something is cut through; something comes free. */
  readonly isCut: boolean;
  readonly hasPieces: boolean;
  /** It is a board that was photographed. */
  readonly hasFace: boolean;
}

/** @param pass 0 the board, 1 what lies lower, 2 what is held in the hand. */
export const definesOf = (look: Look, pass: number): Record<string, number> => ({
  VIEW: look.view,
  ROUGH: Number(look.isRough),
  UNDER_WAY: Number(look.isUnderWay),
  CUT: Number(look.isCut),
  PIECES: Number(look.hasPieces),
  PASS: pass,
  FACE: Number(look.hasFace),
});
