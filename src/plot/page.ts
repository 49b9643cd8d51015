let width = 680;

/** Pixels below which a page is a column. */
export const columnBelow = 500;

/** Width of a figure, pixels at 96 to the inch: the text width of an A4 page, unless `atWidth` is drawing for another. */
export function pageWidth(): number {
  return width;
}

/** Width of the plotting area of a panel beside its axis, pixels; also the number of parts into which a signal is thinned for it. */
export function panelPixels(): number {
  return width - 90;
}

/** Width of the plotting area of a panel beside names, pixels. */
export function namedPixels(): number {
  return width - 160;
}

/** Is the page so narrow that a figure must stack what else stands side by side? */
export function isNarrow(): boolean {
  return width < columnBelow;
}

/** Draws for a page of another width, pixels, and goes back to the one before. */
export function withPageWidth<T>(pixels: number, draw: () => T): T {
  const before = width;
  width = pixels;
  try {
    return draw();
  } finally {
    width = before;
  }
}
