import { createRequire } from 'node:module';
import type ts from '@tslab/typescript-for-tslab';

/** The compiler of the cells. It is required: an import would first search its ten megabytes for names, which takes half a second. */
export const compiler: typeof ts = createRequire(import.meta.url)('@tslab/typescript-for-tslab') as typeof ts;
