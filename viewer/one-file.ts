import { takeWishes } from './worker/answer.ts';

// The page's own script is its worker too, so that what both need is in the file once.
if (typeof document === 'undefined') takeWishes();
else void import('./main.tsx');
