import '../no-eval.ts';
import { takeWishes } from './answer.ts';

takeWishes();
