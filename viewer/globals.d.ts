/** Whether this is the build that is one file. */
declare const __ONE_PAGE__: boolean;

declare module '*.css';
declare module '*?worker' {
  const make: new () => Worker;
  export default make;
}
