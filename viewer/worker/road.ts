import { takeWishes } from './answer.ts';

takeWishes();
