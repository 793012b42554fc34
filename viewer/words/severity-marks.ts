/** A finding's severity as a shape, where there is no room for its word. */
export const SEVERITY_MARKS = { stop: '■', warning: '▲', note: '○' } as const;
