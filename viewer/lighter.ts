import type { Plugin } from 'vite';

/**
 * What comes with libraries and is never asked for is left out of the page: their bundles hold it so that no bundler
 * can tell. What is asked for all the same fails loudly: a shader that is not there is not compiled.
 */

/** Looks of three's own materials that nothing on the stage has: it is drawn by shaders of ours, and by plain ones. */
const NO_MATERIAL =
  /^(?:mesh(?:matcap|normal|phong|physical|toon)|points|shadow|linedashed|equirect|distance|depth|cube|background|backgroundCube)_/;
/** Parts of plain shaders that only say something under an option (`USE_…`) that nothing on the stage takes. */
const NO_OPTION =
  /^(?:alphahash|alphatest|aomap|batching|bsdfs|bumpmap|clearcoat|clipping_planes|cube_uv|displacementmap|dithering|emissivemap|envmap|fog|gradientmap|iridescence|lightmap|lightprobes|lights_(?:fragment_maps|phong|physical|toon)|logdepthbuf|metalnessmap|morph|normal_fragment_maps|normalmap|packing|roughnessmap|shadowmap|shadowmask|skin|tonemapping_pars|transmission)/;
const isNeverDrawn = (name: string): boolean => NO_MATERIAL.test(name) || NO_OPTION.test(name);

/** Each shader of three's that is never drawn, empty. */
const withoutShaders = (code: string): string =>
  code.replace(/^\t(\w+): (?:(?:vertex|fragment)\$\w+|\1)(,?)$/gm, (whole, name: string, comma: string) =>
    isNeverDrawn(name) ? `\t${name}: ''${comma}` : whole,
  );

/**
 * Parts of three's renderer that nothing on the stage asks for, as they are while they are not in use: light from all
 * around, shadows by maps, headsets, shapes that turn into others, settings that shaders share, effects on the whole
 * picture, planes that clip, how polished things shine.
 */
const IDLE_PARTS: Readonly<Record<string, string>> = {
  'class PMREMGenerator': 'class PMREMGenerator {}',
  'function WebGLShadowMap':
    'function WebGLShadowMap() { this.enabled = false; this.type = PCFShadowMap; this.render = () => {}; }',
  'class WebXRManager': `class WebXRManager extends EventDispatcher {
    enabled = false; isPresenting = false; dispose() {} setAnimationLoop() {} getEnvironmentBlendMode() {}
  }`,
  'function WebGLUniformsGroups': 'function WebGLUniformsGroups() { this.dispose = () => {}; }',
  'function WebGLMorphtargets': 'function WebGLMorphtargets() {}',
  'function WebGLOutput': 'function WebGLOutput() {}',
  'class WebGLCubeRenderTarget': 'class WebGLCubeRenderTarget {}',
  'function WebGLClipping': `function WebGLClipping() {
    this.uniform = { value: null, needsUpdate: false };
    this.numPlanes = this.numIntersection = 0;
    this.init = () => false;
  }`,
  'function getDFGLUT': 'function getDFGLUT() { return null; }',
};
/** Looks whose settings are handed to shaders that are left out. */
const IDLE_LOOKS =
  /^(\tfunction refreshUniforms(?:Dash|Points|Phong|Toon|Standard|Physical|Matcap|Distance)\b[^{]*)\{$[\s\S]*?^\t\}$/gm;

/** The renderer without these parts; a part that is not found where it was is told. */
function withIdleParts(code: string): string {
  let lighter = code;
  for (const [head, idle] of Object.entries(IDLE_PARTS)) {
    const whole = new RegExp(`^${head}\\b[^{]*\\{$[^]*?^\\}$`, 'm');
    if (!whole.test(lighter)) throw new Error(`found no ${head} in three; expected it to be left out`);
    lighter = lighter.replace(whole, () => idle);
  }
  const looks = lighter.replace(IDLE_LOOKS, '$1{}');
  if (looks === lighter) throw new Error('found no settings of looks in three; expected them to be left out');
  return looks;
}

/** Without the table of how polished things shine. */
const withoutShine = (code: string): string =>
  code.replace(/^const DATA = new Uint16Array\( \[[^\]]*\] \);$/m, '');

/** A module of which nothing is ever called: all that it exports is there, and empty. */
function emptied(code: string): string {
  const names = [...code.matchAll(/^export (?:const|function|class) (\w+)/gm)].map(([, name]) => name);
  return `const never = () => undefined;\nexport { ${names.map((name) => `never as ${name}`).join(', ')} };\n`;
}

/** Colour maps are made where they are declared, of which a bundler keeps all; said to be pure, those that are used. */
const withPureMaps = (code: string): string =>
  code
    .replace(/= ramp/g, '= /*@__PURE__*/ ramp')
    .replace(
      /= new Array\(3\)\.concat\([^)]*\)\.map\(colors\)/g,
      (made) => `= /*@__PURE__*/ (() => ${made.slice(2)})()`,
    );

/** Without the names that colours have in style sheets: the page's are told by their numbers. */
const withoutColourNames = (code: string): string =>
  code.replace(/^(const _colorKeywords|var named) = \{[^}]*\}/m, '$1 = {}');

/** Animations, which nothing has: what is written to their classes after these are declared would keep all of them. */
const withoutAnimations = (code: string): string =>
  code.replace(/^(?:\w*KeyframeTrack|PropertyBinding)\.(?:prototype\.)?\w+ = [^;]*;$/gm, '');

/** Matrices are added, taken from each other and scaled; of the eighty other things that are done to each of their numbers, none is. */
const SUMS = /^(?:add|sub|mul|div)[SM]?$/;
const withSumsOnly = (code: string): string =>
  code.replace(
    /^ {2}AbstractMatrix\.(?:prototype\.)?(\w+) = (?:function [\s\S]*?^ {2}\};|[\w.]+;)$/gm,
    (whole, name: string) => (SUMS.test(name) ? whole : ''),
  );

/** Shaders stand in strings, of which no bundler leaves out comments and indents: they say nothing to the card. */
const withoutRemarks = (code: string): string => code.replace(/^[ \t]*\/\/.*\n|^[ \t]+/gm, '');

/** Three's shaders stand on one line each, their indents written out. */
const withoutIndents = (code: string): string => code.replace(/(\\n)(?:\\t)+/g, '$1');

const LIGHTER: readonly (readonly [file: RegExp, lighter: (code: string) => string])[] = [
  [
    /\/three\/build\/three\.module\.js$/,
    (code) => withoutIndents(withoutShine(withoutShaders(withIdleParts(code)))),
  ],
  [/\/three\/build\/three\.core\.js$/, (code) => withoutAnimations(withoutColourNames(code))],
  [/\/d3-color\/dist\/d3-color\.mjs$/, withoutColourNames],
  [/\/ml-matrix\/src\/mathOperations\.js$/, withSumsOnly],
  [/\/zod\/v4\/core\/(?:json-schema-processors|json-schema-generator|to-json-schema)\.js$/, emptied],
  [/\/viewer\/stage\/\w[\w-]*\.ts$/, withoutRemarks],
  [/\/d3-scale-chromatic\/dist\/d3-scale-chromatic\.mjs$/, withPureMaps],
];

export const lighter: Plugin = {
  name: 'charcast-lighter',
  enforce: 'pre',
  transform(code, id) {
    const way = LIGHTER.find(([file]) => file.test(id));
    return way ? { code: way[1](code), map: null } : null;
  },
};
