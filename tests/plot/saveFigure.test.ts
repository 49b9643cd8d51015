import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { inflateSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeChannel, plotHistory, saveFigure, toPdf, toSvg } from '../../src/index.js';
import { PdfContext, type PdfDocument } from '../../src/plot/pdfContext.js';

const figure = plotHistory(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 3, NaN, 2, 4] }), { rest: [{ from: 0, to: 0.2 }] });

describe('saveFigure', () => {
  let folder = '';
  beforeAll(() => { folder = mkdtempSync(join(tmpdir(), 'figures-')); });
  afterAll(() => rmSync(folder, { recursive: true }));
  it('writes what the ending says, and leaves nothing else behind', () => {
    for (const ending of ['svg', 'png', 'pdf', 'vl.json']) saveFigure(figure, join(folder, `torque.${ending}`));
    expect(readdirSync(folder).sort()).toEqual(['torque.pdf', 'torque.png', 'torque.svg', 'torque.vl.json']);
    expect(readFileSync(join(folder, 'torque.svg'), 'utf8')).toBe(toSvg(figure));
    expect(JSON.parse(readFileSync(join(folder, 'torque.vl.json'), 'utf8'))).toEqual(JSON.parse(JSON.stringify(figure.spec)));
    expect(readFileSync(join(folder, 'torque.png')).subarray(1, 4).toString()).toBe('PNG');
  });
  it('refuses another ending, and leaves nothing behind where it cannot write', () => {
    expect(() => saveFigure(figure, join(folder, 'torque.bmp'))).toThrow('saveFigure: file must be a name that ends in .svg, .png, .pdf, .vl.json');
    expect(() => saveFigure({} as never, 'x.svg')).toThrow('must be a Figure');
    expect(() => saveFigure(figure, join(folder, 'none', 'x.svg'))).toThrow('ENOENT');
    expect(readdirSync(folder)).toHaveLength(4);
  });
});

describe('toSvg', () => {
  it('gives equal text for equal figures and other ids for others, so that several may stand in one page', () => {
    const ids = (svg: string): string[] => [...svg.matchAll(/id="([^"]+)"/g)].map((m) => m[1]!);
    const other = plotHistory(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 3, 2] }));
    expect(toSvg(figure)).toBe(toSvg(figure));
    expect(ids(toSvg(figure)).length).toBeGreaterThan(0);
    expect(ids(toSvg(figure)).filter((id) => ids(toSvg(other)).includes(id))).toEqual([]);
    for (const [, id] of toSvg(figure).matchAll(/url\(#([^)]+)\)/g)) expect(ids(toSvg(figure))).toContain(id);
  });
});

describe('toPdf', () => {
  const streams = (pdf: Uint8Array): string => {
    const text = Buffer.from(pdf).toString('latin1');
    return [...text.matchAll(/\/FlateDecode[^>]*>>\s*stream\n([\s\S]*?)\nendstream/g)].map((m) => inflateSync(Buffer.from(m[1]!, 'latin1')).toString('latin1')).join('\n');
  };
  it('is one page as large as the figure, with the font inside and the same bytes every time', () => {
    const pdf = toPdf(figure);
    const text = Buffer.from(pdf).toString('latin1');
    expect(text.startsWith('%PDF-')).toBe(true);
    expect(text.trimEnd().endsWith('%%EOF')).toBe(true);
    expect(text).toContain(`/MediaBox [0 0 ${figure.width * 0.75} ${figure.height * 0.75}]`);
    expect(text).toContain('DejaVuSans');
    expect(Buffer.compare(pdf, toPdf(figure))).toBe(0);
  });
  it('draws lines and text as vectors, without a raster image', () => {
    const page = streams(toPdf(figure));
    expect(page).toMatch(/[\d.]+ [\d.]+ l\n/);
    expect(page).toContain('BT');
    expect(page).not.toContain('/Subtype /Image');
  });
  it('keeps paths in page coordinates until they are painted, and draws a circle within 3e-4 of its radius', () => {
    const calls: [string, ...unknown[]][] = [];
    const document = new Proxy({}, { get: (_, name: string) => (...args: unknown[]) => calls.push([name, ...args]) }) as PdfDocument;
    const context = new PdfContext(document);
    context.translate(10, 20);
    context.beginPath();
    context.arc(0, 0, 5, 0, 2 * Math.PI);
    context.translate(100, 100);
    context.fill();
    const [, x, y] = calls.find(([name]) => name === 'moveTo')!;
    expect([x, y]).toEqual([15, 20]);
    let at = [x as number, y as number];
    const curves = calls.filter(([name]) => name === 'bezierCurveTo').map((c) => c.slice(1) as number[]);
    expect(curves).toHaveLength(4);
    for (const [a, b, c, d, e, f] of curves as [number, number, number, number, number, number][]) {
      for (let t = 0; t <= 1; t += 0.05) {
        const u = 1 - t;
        const px = u ** 3 * at[0]! + 3 * u * u * t * a + 3 * u * t * t * c + t ** 3 * e;
        const py = u ** 3 * at[1]! + 3 * u * u * t * b + 3 * u * t * t * d + t ** 3 * f;
        expect(Math.abs(Math.hypot(px - 10, py - 20) - 5)).toBeLessThan(3e-4 * 5);
      }
      at = [e, f];
    }
  });
  it('passes colours of every spelling, gradients and rimmed text on', () => {
    const calls: [string, ...unknown[]][] = [];
    const stops: unknown[] = [];
    const document = new Proxy({}, { get: (_, name: string) => (...args: unknown[]) => { calls.push([name, ...args]); return { stop: (...stop: unknown[]) => stops.push(stop) }; } }) as PdfDocument;
    const context = new PdfContext(document);
    context.fillStyle = 'rgb(1, 20, 255)';
    context.fillRect(0, 0, 1, 1);
    expect(calls.at(-1)).toEqual(['fill', [1, 20, 255]]);
    context.translate(5, 0);
    const gradient = context.createLinearGradient(0, 0, 10, 0);
    gradient.addColorStop(0, '#fff');
    gradient.addColorStop(1, 'rgb(0,0,0)');
    context.fillStyle = gradient;
    context.fillRect(0, 0, 1, 1);
    expect(calls.find(([name]) => name === 'linearGradient')).toEqual(['linearGradient', 5, 0, 15, 0]);
    expect(stops).toEqual([[0, '#fff'], [1, [0, 0, 0]]]);
    context.strokeText('24 Hz', 0, 0);
    expect(calls.find(([name]) => name === 'text')!.at(-1)).toMatchObject({ stroke: true, fill: false });
  });
  it('refuses what is no figure', () => {
    expect(() => toPdf(null as never)).toThrow('toPdf: figure must be a Figure, got null.');
  });
});
