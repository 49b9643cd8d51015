import { FormatError } from '../record/errors.js';
import type { OpenFile } from './formats.js';

interface Known {
  readonly found: string;
  readonly remedy: string;
  /** `text` is the head byte for byte (Latin-1). */
  readonly matches: (text: string, head: Uint8Array) => boolean;
}

const begins = (...marks: readonly string[]): Known['matches'] => (text) => marks.some((mark) => text.startsWith(mark));
const unpack = 'Unpack it, and read the file inside.';

/** Kinds of files that are known by their first bytes and not read, the more special first. */
const kinds: readonly Known[] = [
  { found: 'a WAV file of big-endian numbers (RIFX)', remedy: 'Export it as WAV with little-endian numbers (RIFF).', matches: (text) => /^RIFX[^]{4}WAVE/.test(text) },
  { found: 'a spreadsheet workbook (XLSX, a ZIP container)', remedy: 'Save the sheet as CSV.', matches: (text) => /^PK\x03\x04[^]*(\[Content_Types\]\.xml|xl\/)/.test(text) },
  { found: 'a spreadsheet document (OpenDocument, a ZIP container)', remedy: 'Save the sheet as CSV.', matches: (text) => /^PK\x03\x04[^]*mimetypeapplication\/vnd\.oasis\.opendocument/.test(text) },
  { found: 'a ZIP container', remedy: unpack, matches: begins('PK\x03\x04', 'PK\x05\x06') },
  { found: 'a compound document, as older spreadsheets are', remedy: 'Save the sheet as CSV.', matches: begins('\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1') },
  { found: 'a file packed with bzip2, xz, zstd or 7z', remedy: unpack, matches: (text) => /^(BZh[1-9]1AY&SY|\xfd7zXZ\0|\x28\xb5\x2f\xfd|7z\xbc\xaf\x27\x1c)/.test(text) },
  { found: 'a TAR archive', remedy: unpack, matches: (text) => text.startsWith('ustar', 257) },
  { found: 'a MAT file of level 4', remedy: 'Save it as level 5 (-v6 or -v7).', matches: isMat4 },
];

/** Refuses kinds of files that are known but not read, by their names and with the way out. */
export function refuseKnown(open: OpenFile): void {
  const text = Buffer.from(open.head).toString('latin1');
  const known = kinds.find((k) => k.matches(text, open.head));
  if (known) throw new FormatError({ file: open.file, found: `${known.found}${open.gzip ? ', packed with gzip' : ''}`, expected: 'a recording in a format that is read', remedy: known.remedy });
}

/**
 * The head of a level 4 matrix: five whole numbers (its type MOPT in decimal digits, rows, columns, complex or not, length of
 * the name with its closing zero), then the name.
 *
 * @references MAT-File Format, The MathWorks, Inc. (public description of level 4).
 */
function isMat4(text: string, head: Uint8Array): boolean {
  if (head.length < 22) return false;
  const view = new DataView(head.buffer, head.byteOffset, head.byteLength);
  return [true, false].some((little) => {
    const [type, rows, columns, complex, length] = [0, 4, 8, 12, 16].map((at) => view.getUint32(at, little)) as [number, number, number, number, number];
    // M: byte order (0 little, 1 big); O: 0; P: precision 0 to 5; T: full, text or sparse.
    const kind = (little ? /^[0-5]?[0-2]$/ : /^10[0-5][0-2]$/).test(String(type));
    return kind && rows > 0 && columns > 0 && complex <= 1 && length >= 2 && length <= 64 && /^[A-Za-z]\w*\0$/.test(text.slice(20, 20 + length));
  });
}
