import { createHash } from 'node:crypto';
import { createRequire } from 'node:module';
import { checkNumber, checkOptions } from '../record/check.js';
import { checkFigure, type Figure, type Spec } from './Figure.js';
import { fontFiles, textWidth } from './fonts.js';

// Vega is large and CommonJS: it is loaded by the first figure that is drawn, not with the library.
const require = createRequire(import.meta.url);

interface Logger { level(value?: number): unknown; error(...text: unknown[]): Logger; warn(...text: unknown[]): Logger; info(...text: unknown[]): Logger; debug(...text: unknown[]): Logger }
interface Renderer {
  initialize(element: null, width: number, height: number, origin: readonly number[], scale: number, options?: object): Renderer;
  background(colour: unknown): Renderer;
  render(scene: unknown): Renderer;
  svg(): string;
}
interface TextItem { readonly text?: unknown; readonly fontSize?: number; readonly fontWeight?: string | number; readonly limit?: number }
interface VegaView {
  run(): VegaView;
  logger(logger: Logger): VegaView;
  finalize(): void;
  loader(): unknown;
  background(): unknown;
  padding(): { left: number; right: number; top: number; bottom: number };
  scenegraph(): { readonly root: unknown };
  readonly _viewWidth: number;
  readonly _viewHeight: number;
  readonly _origin: readonly number[];
}
interface Vega {
  parse(spec: unknown): unknown;
  View: new (runtime: unknown, options: object) => VegaView;
  renderModule(name: string): { readonly headless: new (loader: unknown) => Renderer };
  CanvasRenderer: new (loader: unknown) => Renderer;
  resetSVGDefIds(): void;
  textMetrics: { width: (item: TextItem, text?: string) => number };
}
interface VegaLite { compile(spec: unknown, options: { logger: Logger }): { readonly spec: unknown } }

/** A figure laid out, ready for a renderer. */
export interface Laid {
  readonly view: VegaView;
  readonly vega: Vega;
  readonly width: number;
  readonly height: number;
  readonly origin: readonly number[];
}

/** Keeps what Vega and Vega-Lite complain about. */
export function collector(): { readonly logger: Logger; readonly errors: string[]; readonly warnings: string[] } {
  const errors: string[] = [];
  const warnings: string[] = [];
  const text = (parts: unknown[]): string => parts.map((p) => (p instanceof Error ? p.message : String(p))).join(' ');
  const logger: Logger = {
    level: () => logger,
    error: (...parts) => { errors.push(text(parts)); return logger; },
    warn: (...parts) => { warnings.push(text(parts)); return logger; },
    info: () => logger,
    debug: () => logger,
  };
  return { logger, errors, warnings };
}

/** Compiles Vega-Lite to Vega. @throws Error with everything that was wrong */
export function compileSpec(spec: Spec): { readonly vegaSpec: unknown; readonly warnings: readonly string[] } {
  const { logger, errors, warnings } = collector();
  const { compile } = require('vega-lite') as VegaLite;
  const vegaSpec = compile(structuredClone(spec), { logger }).spec;
  if (errors.length > 0) throw new Error(`the figure's specification does not compile: ${errors.join('; ')}`);
  return { vegaSpec, warnings };
}

/**
 * Lays a figure out and hands it to `use`, all within this call: Vega's dataflow runs to its end synchronously as long as no data has to be
 * fetched, and no figure of ours fetches any. Texts are measured with the advances of the font that will draw them.
 */
export function withLayout<T>(figure: Figure, use: (laid: Laid) => T): T {
  const vega = require('vega') as Vega;
  const { vegaSpec } = compileSpec(figure.spec);
  const before = vega.textMetrics.width;
  vega.textMetrics.width = (item, text) => {
    const width = textWidth(String(text ?? item.text ?? ''), item.fontSize ?? 11, item.fontWeight === 'bold' || Number(item.fontWeight) >= 600);
    // A text that is cut to a limit takes no more room than that.
    return item.limit && item.limit > 0 ? Math.min(width, item.limit) : width;
  };
  try {
    const { logger, errors } = collector();
    const view = new vega.View(vega.parse(vegaSpec), { renderer: 'none', logger });
    view.logger(logger).run();
    if (errors.length > 0) throw new Error(`the figure cannot be laid out: ${errors.join('; ')}`);
    const padding = view.padding();
    const result = use({
      view, vega, origin: [padding.left + view._origin[0]!, padding.top + view._origin[1]!],
      width: view._viewWidth + padding.left + padding.right, height: view._viewHeight + padding.top + padding.bottom,
    });
    view.finalize();
    return result;
  } finally {
    vega.textMetrics.width = before;
  }
}

/**
 * Draws a figure as SVG.
 *
 * Text stays text; equal figures give equal text, and the ids in it are those of no other figure. Cost: the first drawing in a process loads Vega (about 0.2 s), further ones take some ten milliseconds.
 *
 * @param figure what a plot verb gave
 * @returns the SVG document
 * @throws InputError for something that is no figure
 * @see toPng
 * @example
 * toSvg(plotHistory(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 3, 2] }))).includes('Torque / N·m') // => true
 */
export function toSvg(figure: Figure): string {
  checkFigure('toSvg', figure);
  return withLayout(figure, ({ view, vega, width, height, origin }) => {
    const { headless } = vega.renderModule('svg');
    vega.resetSVGDefIds();
    return uniqueIds(new headless(view.loader()).initialize(null, width, height, origin, 1).background(view.background()).render(view.scenegraph().root).svg());
  });
}

/** Ids that depend on the drawing alone: equal figures give equal text, and different ones may stand in one HTML page. */
function uniqueIds(svg: string): string {
  const prefix = createHash('sha256').update(svg).digest('hex').slice(0, 10);
  return svg.replace(/(id="|url\(#)((?:clip|gradient|pattern)\w*)/g, (_, before: string, id: string) => `${before}f${prefix}-${id}`);
}

/** Options of toPng. */
export interface PngOptions {
  /** Pixels of the image to a pixel of the figure, above 0 to 10; 2 unless given. */
  readonly scale?: number;
}

/**
 * Draws a figure as PNG, with the font that the library brings along and no other.
 *
 * @param figure what a plot verb gave
 * @param options scale: image pixels to a figure pixel, 2 unless given
 * @returns the bytes of the PNG file
 * @throws InputError for something that is no figure, or a scale outside 0 … 10
 * @see toSvg
 * @example
 * const png = toPng(plotHistory(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 3, 2] })), { scale: 1 });
 * Array.from(png.subarray(1, 4)) // => [80, 78, 71]
 */
export function toPng(figure: Figure, options?: PngOptions): Uint8Array {
  const { scale = 2 } = checkOptions('toPng', options, { optional: ['scale'] });
  checkNumber('toPng', 'scale', scale, { above: 0, max: 10 });
  const svg = toSvg(figure);
  const { Resvg } = require('@resvg/resvg-js') as typeof import('@resvg/resvg-js');
  const { normal, bold } = fontFiles();
  return new Resvg(svg, {
    font: { fontFiles: [normal, bold], loadSystemFonts: false, defaultFontFamily: 'DejaVu Sans' },
    fitTo: { mode: 'zoom', value: scale },
    background: '#ffffff',
  }).render().asPng();
}
