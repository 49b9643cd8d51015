const pattern = /^(\d{4})-(\d{2})-(\d{2})[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s*(Z|[+-]\d{2}(?::?\d{2})?)?$/;

const none = { seconds: NaN, fraction: NaN };

let lastDay = '';
let lastDaySeconds = 0;

/** Seconds from `origin` (whole seconds since 1970) to a date-time, to the nanosecond for some weeks around it. */
export function secondsSince(text: string, origin: number): number {
  const { seconds, fraction } = splitDateTime(text);
  return seconds - origin + fraction;
}

/**
 * Whole seconds since 1970 and the fraction of a second of a date-time such as `2026-03-01T08:00:00.125Z`,
 * `2026-03-01 08:00:00,125` or `2026-03-01T09:00:00+01:00`; one without a zone is taken as UTC. NaN for a text that is none.
 */
export function splitDateTime(text: string): { readonly seconds: number; readonly fraction: number } {
  const m = pattern.exec(text);
  if (!m) return none;
  if (Number(m[4]) > 23 || Number(m[5]) > 59 || Number(m[6] ?? 0) > 60) return none;
  const day = text.slice(0, 10);
  if (day !== lastDay) {
    const date = new Date(Date.UTC(Number(m[1]), Number(m[2]) - 1, Number(m[3])));
    // A day that its month does not have would be taken for one of the next.
    if (date.getUTCDate() !== Number(m[3]) || date.getUTCMonth() !== Number(m[2]) - 1) return none;
    lastDaySeconds = date.getTime() / 1000;
    lastDay = day;
  }
  let seconds = lastDaySeconds + Number(m[4]) * 3600 + Number(m[5]) * 60 + Number(m[6] ?? 0);
  const zone = m[8];
  if (zone !== undefined && zone !== 'Z') {
    const shift = Number(zone.slice(1, 3)) * 3600 + Number(zone.replace(':', '').slice(3) || 0) * 60;
    seconds -= zone.startsWith('-') ? -shift : shift;
  }
  return { seconds, fraction: m[7] === undefined ? 0 : Number(`0.${m[7]}`) };
}
