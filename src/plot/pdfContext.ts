import { fontFiles, textWidth } from './fonts.js';

/** A colour as pdfkit takes it: by hexadecimal name, or red, green and blue from 0 to 255. */
export type PdfColour = string | readonly number[];

/** The part of pdfkit's document that figures need. */
export interface PdfDocument {
  save(): unknown;
  restore(): unknown;
  transform(a: number, b: number, c: number, d: number, e: number, f: number): unknown;
  moveTo(x: number, y: number): unknown;
  lineTo(x: number, y: number): unknown;
  bezierCurveTo(a: number, b: number, c: number, d: number, x: number, y: number): unknown;
  quadraticCurveTo(a: number, b: number, x: number, y: number): unknown;
  rect(x: number, y: number, width: number, height: number): unknown;
  closePath(): unknown;
  clip(): unknown;
  fill(colour: PdfColour | object): unknown;
  stroke(colour: PdfColour): unknown;
  fillColor(colour: PdfColour): unknown;
  strokeColor(colour: PdfColour): unknown;
  linearGradient(x1: number, y1: number, x2: number, y2: number): { stop(at: number, colour: PdfColour): unknown };
  fillOpacity(value: number): unknown;
  strokeOpacity(value: number): unknown;
  lineWidth(value: number): unknown;
  lineCap(value: string): unknown;
  lineJoin(value: string): unknown;
  miterLimit(value: number): unknown;
  dash(lengths: readonly number[], options: { phase: number }): unknown;
  undash(): unknown;
  font(file: string): unknown;
  fontSize(size: number): unknown;
  text(text: string, x: number, y: number, options: object): unknown;
}

type Matrix = readonly [number, number, number, number, number, number];
type Point = readonly [number, number];
/** A gradient in page coordinates. */
interface Gradient {
  readonly from: Point;
  readonly to: Point;
  readonly stops: (readonly [at: number, colour: PdfColour])[];
  addColorStop(at: number, colour: string): void;
}
interface State { matrix: Matrix; fillStyle: string | Gradient; strokeStyle: string; globalAlpha: number; lineWidth: number; lineCap: string; lineJoin: string; miterLimit: number; dash: readonly number[]; lineDashOffset: number; font: string; textAlign: string; textBaseline: string }

const initial: State = { matrix: [1, 0, 0, 1, 0, 0], fillStyle: '#000000', strokeStyle: '#000000', globalAlpha: 1, lineWidth: 1, lineCap: 'butt', lineJoin: 'miter', miterLimit: 10, dash: [], lineDashOffset: 0, font: '10px sans', textAlign: 'start', textBaseline: 'alphabetic' };

/** The members of the state that a renderer sets by assignment. */
export interface PdfContext extends Omit<State, 'matrix' | 'dash'> {}

/**
 * What a renderer for a canvas draws on, put on a page of a PDF document: Vega's canvas renderer takes it as its external context.
 * Paths are kept in page coordinates until they are filled, stroked or clipped, as a canvas keeps them.
 */
export class PdfContext {
  readonly #document: PdfDocument;
  readonly #stack: State[] = [];
  #path: (() => void)[] = [];
  #matrix: Matrix = initial.matrix;
  #dash: readonly number[] = [];
  #begun = false;

  constructor(document: PdfDocument) {
    this.#document = document;
    Object.assign(this, initial);
  }

  save(): void {
    const { fillStyle, strokeStyle, globalAlpha, lineWidth, lineCap, lineJoin, miterLimit, lineDashOffset, font, textAlign, textBaseline } = this;
    this.#stack.push({ matrix: this.#matrix, dash: this.#dash, fillStyle, strokeStyle, globalAlpha, lineWidth, lineCap, lineJoin, miterLimit, lineDashOffset, font, textAlign, textBaseline });
    this.#document.save();
  }

  restore(): void {
    const state = this.#stack.pop();
    if (!state) return;
    const { matrix, dash, ...rest } = state;
    this.#matrix = matrix;
    this.#dash = dash;
    Object.assign(this, rest);
    this.#document.restore();
  }

  transform(a: number, b: number, c: number, d: number, e: number, f: number): void {
    const [A, B, C, D, E, F] = this.#matrix;
    this.#matrix = [A * a + C * b, B * a + D * b, A * c + C * d, B * c + D * d, A * e + C * f + E, B * e + D * f + F];
  }

  setTransform(a: number, b: number, c: number, d: number, e: number, f: number): void {
    this.#matrix = [a, b, c, d, e, f];
  }

  translate(x: number, y: number): void {
    this.transform(1, 0, 0, 1, x, y);
  }

  scale(x: number, y: number): void {
    this.transform(x, 0, 0, y, 0, 0);
  }

  rotate(angle: number): void {
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    this.transform(c, s, -s, c, 0, 0);
  }

  setLineDash(lengths: readonly number[]): void {
    this.#dash = lengths;
  }

  beginPath(): void {
    this.#path = [];
    this.#begun = false;
  }

  moveTo(x: number, y: number): void {
    const [px, py] = this.#page(x, y);
    this.#begun = true;
    this.#path.push(() => this.#document.moveTo(px, py));
  }

  lineTo(x: number, y: number): void {
    if (!this.#begun) return this.moveTo(x, y);
    const [px, py] = this.#page(x, y);
    this.#path.push(() => this.#document.lineTo(px, py));
  }

  bezierCurveTo(a: number, b: number, c: number, d: number, x: number, y: number): void {
    const [p, q, r] = [this.#page(a, b), this.#page(c, d), this.#page(x, y)];
    this.#path.push(() => this.#document.bezierCurveTo(...p, ...q, ...r));
  }

  quadraticCurveTo(a: number, b: number, x: number, y: number): void {
    const [p, q] = [this.#page(a, b), this.#page(x, y)];
    this.#path.push(() => this.#document.quadraticCurveTo(...p, ...q));
  }

  rect(x: number, y: number, width: number, height: number): void {
    this.moveTo(x, y);
    this.lineTo(x + width, y);
    this.lineTo(x + width, y + height);
    this.lineTo(x, y + height);
    this.closePath();
  }

  closePath(): void {
    if (this.#begun) this.#path.push(() => this.#document.closePath());
  }

  /** A circular arc in Bézier pieces of at most a quarter turn (their error is below 3e-4 of the radius). */
  arc(x: number, y: number, radius: number, start: number, end: number, anticlockwise = false): void {
    const turn = 2 * Math.PI;
    let sweep = end - start;
    if (Math.abs(sweep) >= turn) sweep = anticlockwise ? -turn : turn;
    else if (!anticlockwise && sweep < 0) sweep += turn;
    else if (anticlockwise && sweep > 0) sweep -= turn;
    const pieces = Math.max(1, Math.ceil(Math.abs(sweep) / (Math.PI / 2) - 1e-9));
    const step = sweep / pieces;
    const k = (4 / 3) * Math.tan(step / 4) * radius;
    this.lineTo(x + radius * Math.cos(start), y + radius * Math.sin(start));
    for (let i = 0; i < pieces; i++) {
      const [a, b] = [start + i * step, start + (i + 1) * step];
      this.bezierCurveTo(x + radius * Math.cos(a) - k * Math.sin(a), y + radius * Math.sin(a) + k * Math.cos(a), x + radius * Math.cos(b) + k * Math.sin(b), y + radius * Math.sin(b) - k * Math.cos(b), x + radius * Math.cos(b), y + radius * Math.sin(b));
    }
  }

  clip(): void {
    this.#trace();
    this.#document.clip();
  }

  fill(): void {
    if (this.#path.length === 0 || this.fillStyle === 'transparent') return;
    this.#trace();
    this.#document.fillOpacity(this.globalAlpha);
    if (typeof this.fillStyle === 'string') this.#document.fill(colourOf(this.fillStyle));
    else {
      const { from, to, stops } = this.fillStyle;
      const gradient = this.#document.linearGradient(...from, ...to);
      for (const [at, colour] of stops) gradient.stop(at, colour);
      this.#document.fill(gradient);
    }
  }

  createLinearGradient(x1: number, y1: number, x2: number, y2: number): Gradient {
    const stops: [number, PdfColour][] = [];
    return { from: this.#page(x1, y1), to: this.#page(x2, y2), stops, addColorStop: (at, colour) => { stops.push([at, colourOf(colour)]); } };
  }

  stroke(): void {
    if (this.#path.length === 0 || this.strokeStyle === 'transparent' || !(this.lineWidth > 0)) return;
    const scale = this.#scale();
    this.#trace();
    this.#document.lineWidth(this.lineWidth * scale);
    this.#document.lineCap(this.lineCap);
    this.#document.lineJoin(this.lineJoin);
    this.#document.miterLimit(this.miterLimit);
    // A dash without a gap is a full line.
    if (this.#dash.some((length, i) => i % 2 === 1 && length > 0)) this.#document.dash(this.#dash.map((d) => d * scale), { phase: this.lineDashOffset * scale });
    else this.#document.undash();
    this.#document.strokeOpacity(this.globalAlpha);
    this.#document.stroke(colourOf(this.strokeStyle));
  }

  fillRect(x: number, y: number, width: number, height: number): void {
    this.beginPath();
    this.rect(x, y, width, height);
    this.fill();
  }

  clearRect(): void {}

  measureText(text: string): { readonly width: number } {
    const { size, bold } = this.#fontNow();
    return { width: textWidth(text, size, bold) };
  }

  fillText(text: string, x: number, y: number): void {
    if (typeof this.fillStyle !== 'string') return;
    this.#document.save();
    this.#document.fillOpacity(this.globalAlpha);
    this.#document.fillColor(colourOf(this.fillStyle));
    this.#write(text, x, y, {});
  }

  strokeText(text: string, x: number, y: number): void {
    this.#document.save();
    this.#document.lineWidth(this.lineWidth);
    this.#document.lineJoin('round');
    this.#document.undash();
    this.#document.strokeOpacity(this.globalAlpha);
    this.#document.strokeColor(colourOf(this.strokeStyle));
    this.#write(text, x, y, { stroke: true, fill: false });
  }

  /** Writes a text under the matrix, and restores the state that its caller saved. */
  #write(text: string, x: number, y: number, options: object): void {
    const { size, bold } = this.#fontNow();
    const width = textWidth(text, size, bold);
    const left = this.textAlign === 'center' ? x - width / 2 : this.textAlign === 'right' || this.textAlign === 'end' ? x - width : x;
    this.#document.transform(...this.#matrix);
    this.#document.font(bold ? fontFiles().bold : fontFiles().normal);
    this.#document.fontSize(size);
    this.#document.text(text, left, y, { lineBreak: false, baseline: 'alphabetic', ...options });
    this.#document.restore();
  }

  #fontNow(): { readonly size: number; readonly bold: boolean } {
    return { size: Number(/([\d.]+)px/.exec(this.font)?.[1] ?? 11), bold: /\bbold\b|\b[6-9]00\b/.test(this.font) };
  }

  #page(x: number, y: number): Point {
    const [a, b, c, d, e, f] = this.#matrix;
    return [a * x + c * y + e, b * x + d * y + f];
  }

  #scale(): number {
    const [a, b, c, d] = this.#matrix;
    return Math.sqrt(Math.abs(a * d - b * c));
  }

  #trace(): void {
    for (const draw of this.#path) draw();
  }
}

/** A colour of a drawing for pdfkit, which does not read `rgb(…)`. */
function colourOf(colour: string): PdfColour {
  const parts = /^rgba?\(\s*(\d+)\s*,\s*(\d+)\s*,\s*(\d+)/.exec(colour);
  return parts ? parts.slice(1, 4).map(Number) : colour;
}
