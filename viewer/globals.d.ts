/** Whether this is the one-page build that carries a job inside itself. */
declare const __ONE_PAGE__: boolean;

declare module '*.css';
declare module '*?worker' {
  const make: new () => Worker;
  export default make;
}
declare module '*?worker&inline' {
  const make: new () => Worker;
  export default make;
}
