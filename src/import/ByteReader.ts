import { FormatError } from '../record/errors.js';

/**
 * Reads numbers and text from bytes, and refuses to leave them: every place and length that a file declares is checked
 * against what is there before anything is allocated.
 */
export class ByteReader {
  readonly view: DataView;
  littleEndian = true;

  constructor(readonly file: string, readonly bytes: Uint8Array) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  }

  /** Checks that `length` bytes lie at `at`; `what` names them in the refusal. */
  need(at: number, length: number, what: string): void {
    if (!(at >= 0 && length >= 0 && at + length <= this.bytes.length)) {
      throw new FormatError({ file: this.file, found: `${what} at byte ${at} of ${length} bytes in a file of ${this.bytes.length}`, expected: 'a complete file', remedy: 'Copy the file again from where it was recorded.' });
    }
  }

  u8(at: number, what: string): number {
    this.need(at, 1, what);
    return this.view.getUint8(at);
  }

  u16(at: number, what: string): number {
    this.need(at, 2, what);
    return this.view.getUint16(at, this.littleEndian);
  }

  u32(at: number, what: string): number {
    this.need(at, 4, what);
    return this.view.getUint32(at, this.littleEndian);
  }

  i32(at: number, what: string): number {
    this.need(at, 4, what);
    return this.view.getInt32(at, this.littleEndian);
  }

  /** A whole number of 64 bits; one beyond 2^53 cannot be a size or a place and is refused. */
  u64(at: number, what: string): number {
    this.need(at, 8, what);
    const value = this.view.getBigUint64(at, this.littleEndian);
    if (value > BigInt(Number.MAX_SAFE_INTEGER)) throw new FormatError({ file: this.file, found: `${what} of ${value} at byte ${at}`, expected: 'a size or place within the file' });
    return Number(value);
  }

  f64(at: number, what: string): number {
    this.need(at, 8, what);
    return this.view.getFloat64(at, this.littleEndian);
  }

  part(at: number, length: number, what: string): Uint8Array {
    this.need(at, length, what);
    return this.bytes.subarray(at, at + length);
  }

  /** Text up to the first zero byte; UTF-8. */
  text(at: number, length: number, what: string): string {
    const part = this.part(at, length, what);
    const end = part.indexOf(0);
    return new TextDecoder().decode(end < 0 ? part : part.subarray(0, end));
  }
}

/** How numbers are stored. */
export type NumberKind = 'int8' | 'uint8' | 'int16' | 'uint16' | 'int24' | 'int32' | 'uint32' | 'int64' | 'uint64' | 'float32' | 'float64';

/** Bytes of each kind of number. */
export const bytesOf: Readonly<Record<NumberKind, number>> = { int8: 1, uint8: 1, int16: 2, uint16: 2, int24: 3, int32: 4, uint32: 4, int64: 8, uint64: 8, float32: 4, float64: 8 };

/** A function that gives the number at a byte. Whole numbers of 64 bits beyond 2^53 are rounded to double precision. */
export function numberAt(view: DataView, kind: NumberKind, littleEndian: boolean): (at: number) => number {
  switch (kind) {
    case 'int8': return (at) => view.getInt8(at);
    case 'uint8': return (at) => view.getUint8(at);
    case 'int16': return (at) => view.getInt16(at, littleEndian);
    case 'uint16': return (at) => view.getUint16(at, littleEndian);
    case 'int24': return littleEndian ? (at) => (view.getInt8(at + 2) << 16) | view.getUint16(at, true) : (at) => (view.getInt8(at) << 16) | view.getUint16(at + 1, false);
    case 'int32': return (at) => view.getInt32(at, littleEndian);
    case 'uint32': return (at) => view.getUint32(at, littleEndian);
    case 'int64': return (at) => Number(view.getBigInt64(at, littleEndian));
    case 'uint64': return (at) => Number(view.getBigUint64(at, littleEndian));
    case 'float32': return (at) => view.getFloat32(at, littleEndian);
    case 'float64': return (at) => view.getFloat64(at, littleEndian);
  }
}

/** `count` numbers from byte `at`, every `stride` bytes. The caller has checked that they are there. */
export function readNumbers(bytes: Uint8Array, kind: NumberKind, littleEndian: boolean, at: number, count: number, stride: number = bytesOf[kind]): Float64Array {
  const get = numberAt(new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength), kind, littleEndian);
  const values = new Float64Array(count);
  for (let i = 0; i < count; i++) values[i] = get(at + i * stride);
  return values;
}
