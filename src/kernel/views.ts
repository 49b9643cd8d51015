import type { Channel, Step } from '../record/Channel.js';
import { duration, formatSeconds } from '../record/Channel.js';
import type { Recording } from '../record/Recording.js';
import { lineOf, setViewer, type View } from '../record/result.js';
import { coveredSamples } from '../record/span.js';
import type { Figure } from '../plot/Figure.js';
import { plotHistory } from '../plot/plotHistory.js';
import { toSvg } from '../plot/draw.js';
import { htmlTable } from './bundle.js';
import { cardHtml, type CardParts } from './card.js';

/** What makes the card of a kind of result. The figure is drawn from it afterwards. */
type Viewer = (result: never) => Omit<CardParts, 'svg'> & { readonly figure?: () => Figure };

/** A Vega-Lite figure as JupyterLab draws it, with zoom and values under the pointer. */
const vegaLite = 'application/vnd.vegalite.v5+json';

const viewers: Readonly<Record<string, Viewer>> = {
  Channel: (channel: Channel) => ({ figure: () => plotHistory(channel), trail: channel.trail.map(stepLine) }),
  Recording: (recording: Recording) => ({
    table: htmlTable(['channel', 'unit', 'samples', 'rate / Hz', 'length', 'masked'], recording.channels.map((c) => [
      c.name, c.unit, String(c.values.length), String(c.sampleRate), formatSeconds(duration(c)), c.invalid.length === 0 ? 'none' : `${((100 * coveredSamples(c.invalid)) / c.values.length).toPrecision(2)} %`])),
    figure: () => plotHistory(recording.channels.slice(0, 4), { title: recording.name }),
    notes: recording.channels.length > 4 ? [`Drawn: the first four of ${recording.channels.length} channels.`] : [],
  }),
};

/** The rich view of a result of ours: a figure as itself, everything else as a card with a figure where one is natural. */
export function viewOf(result: object, kind: string): View {
  const line = lineOf(result) ?? kind;
  if (kind === 'Figure') {
    const figure = result as Figure;
    return { [vegaLite]: figure.spec, 'image/svg+xml': toSvg(figure), 'text/plain': line };
  }
  const viewer = viewers[kind] as ((result: object) => ReturnType<Viewer>) | undefined;
  const { figure, ...parts } = viewer ? viewer(result) : plainParts(result);
  let svg: string | null = null;
  let notes = parts.notes ?? [];
  if (figure) {
    try {
      svg = toSvg(figure());
    } catch (error) {
      notes = [...notes, `No figure: ${(error as Error).message}`];
    }
  }
  return { 'text/html': cardHtml(kind, line, { ...parts, notes, svg }), 'text/plain': line };
}

/** What can be shown of any result: its plain numbers and texts, and its notes. */
function plainParts(result: object): CardParts {
  const facts = Object.entries(result).flatMap(([label, value]) => {
    if (typeof value === 'number') return [{ label, value: Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(5))) }];
    return typeof value === 'string' && value.length <= 40 ? [{ label, value }] : [];
  });
  const notes = (result as { notes?: unknown }).notes;
  return { facts: facts.slice(0, 12), notes: Array.isArray(notes) ? notes.filter((note): note is string => typeof note === 'string') : [] };
}

/** A step of a trail in one line. */
function stepLine(step: Step): string {
  const short = (value: unknown): string => {
    const text = JSON.stringify(value);
    return text.length > 160 ? `${text.slice(0, 157)}…` : text;
  };
  return `${step.op} ${short(step.options)}${step.inputs.map((input) => ` · ${input.role}: ${input.name}`).join('')} → ${short(step.found)}`;
}

setViewer(viewOf);
