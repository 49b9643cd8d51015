import type { KindTables } from './columns.js';
import { countParts } from './countParts.js';
import { fatigueParts } from './fatigueParts.js';
import { recordParts } from './recordParts.js';
import { spectrumParts } from './spectrumParts.js';

/** The tables of every kind of result. */
export const partsByKind: KindTables = { ...recordParts, ...countParts, ...spectrumParts, ...fatigueParts };

/** Every kind of result that has a table. */
export const tabularKinds: readonly string[] = Object.freeze(Object.keys(partsByKind));
