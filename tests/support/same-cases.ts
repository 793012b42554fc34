import fc from 'fast-check';

/** Run before each test file: properties meet the same cases in every run; `npm run fuzz` explores. */
if (process.env.FUZZ_RUNS === undefined) fc.configureGlobal({ seed: 20250 });
