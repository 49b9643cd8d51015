import { readFile } from 'node:fs/promises';
import { basename, dirname, resolve } from 'node:path';
import { Ajv2020, type ErrorObject, type KeywordDefinition } from 'ajv/dist/2020.js';
import { InputError, FormatError } from '../record/errors.js';
import { nearest, show } from '../record/check.js';
import { checkSense } from './checkSense.js';
import { jobSchema } from './jobSchema.js';
import { jsonFault } from './jsonFault.js';
import type { Job } from './Job.js';
import { parseQuantity, quantityExamples } from './quantity.js';

/** Reads "90 mm" into 0.09 in place, so that a checked job holds SI numbers only. */
const quantityKeyword: KeywordDefinition = {
  keyword: 'quantity',
  type: 'string',
  modifying: true,
  errors: false,
  validate: (quantity: string, text: string, _schema: unknown, context?: { parentData: unknown; parentDataProperty: string | number }) => {
    const value = parseQuantity(text, quantity);
    if (value === null || !context) return false;
    (context.parentData as Record<string | number, number>)[context.parentDataProperty] = value;
    return true;
  },
};

/**
 * Reads a job file: JSON that the published schema describes. Quantities are texts with a unit ("90 mm") and come
 * back as SI numbers; file paths come back relative to the job file's folder.
 *
 * @throws FormatError for a file that is missing or not JSON (with line and column)
 * @throws InputError for an unknown key or a wrong value; the message names its path
 * @see jobSchema
 */
export async function readJob(file: string): Promise<Job> {
  let text: string;
  try {
    text = await readFile(file, 'utf8');
  } catch (cause) {
    const code = (cause as NodeJS.ErrnoException).code;
    throw new FormatError({ file, expected: 'a job file (JSON)', found: code === 'ENOENT' ? 'no such file' : code === 'EISDIR' ? 'a folder' : `a file that cannot be opened (${code})` });
  }
  return checkJob(parseJson(text, basename(file)), basename(file), dirname(resolve(file)));
}

/** Checks a job that is already an object; `folder` is where its relative paths begin. */
export function checkJob(raw: unknown, name: string, folder: string): Job {
  const ajv = new Ajv2020({ allErrors: false, strict: true, strictRequired: false, allowUnionTypes: true, discriminator: true, verbose: true });
  ajv.addKeyword(quantityKeyword);
  ajv.addKeyword({ keyword: 'hint', schemaType: 'string' });
  const data = structuredClone(raw);
  const validate = ajv.compile(jobSchema as object);
  if (!validate(data)) throw jobFault(validate.errors!, name, raw);
  const job = data as Job;
  checkSense(name, job);
  const files = (job.recording.files ?? [job.recording.file]).map((file) => resolve(folder, file));
  const { pulses } = job.recording;
  return { ...job, name, recording: { ...job.recording, file: files[0]!, ...(job.recording.files ? { files } : {}), ...(pulses ? { pulses: { ...pulses, file: resolve(folder, pulses.file) } } : {}) } };
}

/** The first fault as one sentence: the path, what was expected, what stands there. */
function jobFault(errors: readonly ErrorObject[], where: string, raw: unknown): InputError {
  // The deepest fault says most; of a choice between forms, the choice itself.
  const error = errors.reduce((best, e) => (e.instancePath.length > best.instancePath.length || (e.instancePath === best.instancePath && e.keyword === 'anyOf') ? e : best));
  const path = error.instancePath.split('/').slice(1).map((p) => p.replace(/~1/g, '/').replace(/~0/g, '~'));
  const at = (extra?: string): string => [...path, ...(extra ? [extra] : [])].reduce((text, part) => (/^\d+$/.test(part) ? `${text}[${part}]` : text ? `${text}.${part}` : part), '') || 'the job';
  const given = show(path.reduce<unknown>((value, key) => (value as Record<string, unknown> | undefined)?.[key], raw));
  const parent = error.parentSchema as Record<string, unknown> | undefined;
  const hint = typeof parent?.hint === 'string' ? parent.hint : undefined;
  switch (error.keyword) {
    case 'additionalProperties': {
      const key = String(error.params.additionalProperty);
      const known = Object.keys((parent?.properties as object | undefined) ?? {});
      const near = nearest(key, known);
      return new InputError({ where, argument: at(), expected: `made of the keys ${known.join(', ')}`, given: `the unknown key "${key}"`, ...(near ? { remedy: `Did you mean "${near}"?` } : {}) });
    }
    case 'required':
      return new InputError({ where, argument: at(String(error.params.missingProperty)), expected: `given${missingHint(parent, String(error.params.missingProperty))}`, given: 'nothing' });
    case 'quantity':
      return new InputError({ where, argument: at(), expected: `${article(String(error.schema))} with its unit, such as "${quantityExamples[String(error.schema)]}"`, given });
    case 'enum':
      return new InputError({ where, argument: at(), expected: `one of ${(error.schema as unknown[]).map((v) => JSON.stringify(v)).join(', ')}`, given });
    case 'const':
      return new InputError({ where, argument: at(), expected: JSON.stringify(error.schema), given });
    case 'oneOf':
    case 'anyOf':
    case 'discriminator':
      return new InputError({ where, argument: at(), expected: hint ?? 'of one of the forms that the schema lists', given });
    case 'type':
      return new InputError({ where, argument: at(), expected: hint ?? typeText(error.schema, parent), given });
    default:
      return new InputError({ where, argument: at(), expected: hint ?? String(error.message).replace(/^must (be )?/, ''), given });
  }
}

function missingHint(parent: Record<string, unknown> | undefined, key: string): string {
  const member = (parent?.properties as Record<string, { description?: string }> | undefined)?.[key];
  return member?.description ? ` (${member.description.replace(/\.$/, '')})` : '';
}

function typeText(type: unknown, parent: Record<string, unknown> | undefined): string {
  if (typeof parent?.quantity === 'string') return `${article(parent.quantity)} with its unit, such as "${quantityExamples[parent.quantity]}"`;
  const words: Record<string, string> = { string: 'text', number: 'a number', integer: 'a whole number', object: 'an object', array: 'a list', boolean: 'true or false', null: 'null' };
  return [type].flat().map((t) => words[String(t)] ?? String(t)).join(' or ');
}

function article(word: string): string {
  return `${/^[aeiou]/.test(word) ? 'an' : 'a'} ${word}`;
}

/** JSON.parse, with line and column where it fails; a key given twice is a fault too. */
export function parseJson(text: string, file: string): unknown {
  const plain = text.replace(/^\uFEFF/, '');
  const fault = jsonFault(plain);
  if (!fault) return JSON.parse(plain);
  const before = plain.slice(0, fault.at);
  throw new FormatError({ file, line: before.split('\n').length, column: before.length - before.lastIndexOf('\n'), expected: fault.expected, found: fault.found });
}
