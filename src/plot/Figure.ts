import { makeResult, kindOf } from '../record/result.js';
import { InputError } from '../record/errors.js';
import { show } from '../record/check.js';
import { unitPattern } from '../fatigue/figures.js';
import { isNarrow, pageWidth, panelPixels } from './page.js';
import { theme } from './theme.js';

/** A part of a Vega-Lite specification: plain JSON data. */
export type Spec = { readonly [key: string]: unknown };

/** A figure as data: a complete Vega-Lite 5 specification with its data inside, and the words that go with it. */
export interface Figure {
  /** Vega-Lite 5 specification, data inline, theme included: any Vega-Lite renderer draws it as it stands. */
  readonly spec: Spec;
  readonly title: string;
  /** What a reader should know beneath the figure: what is drawn, over which time, with what marked. */
  readonly caption: string;
  /** Pixels at scale 1 (96 to the inch), as planned; panels that are stacked may need a little more. */
  readonly width: number;
  readonly height: number;
  readonly notes: readonly string[];
}

/** What makeFigure takes; `body` is the specification without title, theme and size. */
export interface FigureData {
  readonly body: Spec;
  readonly title: string;
  readonly subtitle?: string;
  readonly caption: string;
  readonly width?: number;
  readonly height?: number;
  readonly notes?: readonly string[];
}

/** Completes a specification with size, title and theme. Stacked panels (`vconcat`) state their own sizes. */
export function makeFigure(data: FigureData): Figure {
  const { body, title, subtitle, caption, width = pageWidth(), height = 340, notes = [] } = data;
  const stacked = 'vconcat' in body || 'hconcat' in body;
  const lines = [wrapped(title, titleRoom() / 8.4), wrapped(subtitle ?? '', titleRoom() / 5.9)] as const;
  // What wrapped titles take on a narrow page is not taken from the panel.
  const more = isNarrow() ? 14 * (lines.flat().length - 2) : 0;
  const spec: Spec = Object.freeze({
    $schema: 'https://vega.github.io/schema/vega-lite/v5.json',
    description: caption,
    title: { text: lines[0], ...(subtitle ? { subtitle: lines[1] } : {}) },
    ...(stacked ? {} : { width, height: height + more, autosize: { type: 'fit', contains: 'padding' } }),
    ...body,
    config: isNarrow() ? narrowTheme() : theme,
  });
  return makeResult('Figure', { spec, title, caption, width, height: height + more, notes: Object.freeze([...notes]) }, (f) => `Figure ${f.title} (${f.width} × ${f.height}): ${f.caption}`);
}

/** Pixels that a title may take: it begins above the panel or, on a narrow page, above the axis. */
function titleRoom(): number {
  return isNarrow() ? pageWidth() - 24 : panelPixels();
}

/** The theme for a column: titles begin at the left edge, one name to a row of the legend, fewer ticks. */
function narrowTheme(): Spec {
  const { title, legend } = theme as { readonly title: Spec; readonly legend: Spec };
  return {
    ...theme,
    title: { ...title, frame: 'bounds' },
    axisX: { tickCount: Math.max(3, Math.floor(panelPixels() / 55)) },
    legend: { ...legend, layout: { bottom: { direction: 'vertical', anchor: 'start', margin: 4 } }, columns: 1, labelLimit: pageWidth() - 60, titleLimit: pageWidth() - 60 },
  };
}

const betweenWords = new RegExp(` (?!${unitPattern})`, 'u');

/** A text in lines of at most so many characters, cut between words, never between a number and its unit. */
export function wrapped(text: string, columns: number): string | string[] {
  const lines: string[] = [];
  for (const word of text.split(betweenWords)) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= columns) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.length === 1 ? text : lines;
}

/** The figure itself. @throws InputError where it is something else */
export function checkFigure(where: string, figure: unknown): Figure {
  if (kindOf(figure) === 'Figure') return figure as Figure;
  throw new InputError({ where, argument: 'figure', expected: 'a Figure', given: show(figure), remedy: 'Make one with a plot verb such as plotHistory.' });
}
