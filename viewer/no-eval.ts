import { z } from 'zod';

// The page's policy forbids making code from text, which zod would otherwise try for speed. Imported first.
z.config({ jitless: true });
