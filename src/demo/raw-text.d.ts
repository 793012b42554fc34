/** The bundler's `?raw` import: a G-code file as text. */
declare module '*.nc?raw' {
  const text: string;
  export default text;
}
