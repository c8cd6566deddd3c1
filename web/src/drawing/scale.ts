// From figures to places on the paper.

export interface Scale {
  (value: number): number;
  from: number;
  to: number;
}

/** A straight scale: `from` falls on `start`, `to` on `end`. */
export function scale(from: number, to: number, start: number, end: number): Scale {
  const width = to - from || 1;
  const place = (value: number) => start + ((value - from) / width) * (end - start);
  return Object.assign(place, { from, to });
}

/** Round figures between two, about as many as are wanted: steps of 1, 2 or 5 times a power of ten. */
export function ticks(from: number, to: number, wanted: number): number[] {
  const rough = (to - from) / Math.max(1, wanted);
  if (!(0 < rough) || !Number.isFinite(rough)) return [];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((it) => it * power).find((it) => rough <= it) ?? 10 * power;
  const first = Math.ceil(from / step - 1e-9);
  const last = Math.floor(to / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => (first + index) * step);
}

/** The greatest round figure, 1, 2 or 5 times a power of ten, that is not above another. */
export function roundBelow(most: number): number {
  if (!(0 < most) || !Number.isFinite(most)) return 1;
  const power = 10 ** Math.floor(Math.log10(most));
  return ([5, 2, 1].find((it) => it * power <= most) ?? 1) * power;
}

/** A path through points; a gap where there is none. */
export function path(points: readonly ([number, number] | null)[]): string {
  let pen = "M";
  let text = "";
  for (const point of points) {
    if (point === null || !point.every(Number.isFinite)) {
      pen = "M";
      continue;
    }
    text += `${pen}${point[0].toFixed(1)} ${point[1].toFixed(1)}`;
    pen = "L";
  }
  return text;
}

export function closed(points: readonly [number, number][]): string {
  return points.length === 0 ? "" : `${path(points)}Z`;
}
