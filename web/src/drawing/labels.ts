// Room for words among words. Whoever asks first gets the better place; the same drawing gets the same places each
// time. A name for which there is no room is not written over another: it is given back, to stand in the key.

export interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** What words keep clear of: a box, a disc, the line of a circle, a straight line. */
export type Taken =
  | { box: Box }
  | { disc: { x: number; y: number; r: number } }
  | { ring: { x: number; y: number; r: number } }
  | { line: [x1: number, y1: number, x2: number, y2: number] };

export interface Wanted {
  text: string;
  x: number;
  y: number;
  /** From the point to the words at the least. */
  clear: number;
  /** Directions that are tried first, degrees clockwise from up the paper. */
  prefer?: readonly number[];
}

export interface Placed {
  text: string;
  /** Where the words begin, on their base line. */
  x: number;
  y: number;
  box: Box;
}

export const SMALL_PX = 11.5;
export const LETTER_PX = 13;
/** Air about words, and how far from a line they keep. */
const AIR = 1.5;
const AROUND = [90, 270, 0, 180, 45, 135, 225, 315] as const;
const FURTHER = [0, 8, 18, 30, 44, 60, 80] as const;

let pen: OffscreenCanvasRenderingContext2D | null | undefined;

/** How wide words are. Without a browser a width that no letters of an ordinary face pass. */
export function wide(text: string, px: number): number {
  if (pen === undefined) pen = typeof OffscreenCanvas === "undefined" ? null : new OffscreenCanvas(1, 1).getContext("2d");
  if (!pen) return 0.62 * px * text.length;
  pen.font = `${px}px ${getComputedStyle(document.documentElement).fontFamily}`;
  return pen.measureText(text).width;
}

/** The box of words that begin at a point of their base line, or are centred or end there. */
export function boxOf(text: string, x: number, y: number, px: number, anchor: "start" | "middle" | "end" = "start"): Box {
  const width = wide(text, px);
  const left = anchor === "start" ? x : anchor === "end" ? x - width : x - width / 2;
  return { left: left - AIR, right: left + width + AIR, top: y - 0.95 * px - AIR / 2, bottom: y + 0.28 * px + AIR / 2 };
}

export function overlaps(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/** Least and greatest distance from a point to a box. */
function distances(box: Box, x: number, y: number): [number, number] {
  const [dx, dy] = [Math.max(box.left - x, 0, x - box.right), Math.max(box.top - y, 0, y - box.bottom)];
  const [fx, fy] = [Math.max(x - box.left, box.right - x), Math.max(y - box.top, box.bottom - y)];
  return [Math.hypot(dx, dy), Math.hypot(fx, fy)];
}

/** Whether a straight line passes through a box: what is left of it when the box's four sides have cut it. */
function crosses(box: Box, [x1, y1, x2, y2]: [number, number, number, number]): boolean {
  let [from, to] = [0, 1];
  for (const [start, along, low, high] of [
    [x1, x2 - x1, box.left, box.right],
    [y1, y2 - y1, box.top, box.bottom],
  ] as const) {
    if (along === 0) {
      if (start < low || high < start) return false;
      continue;
    }
    const [a, b] = [(low - start) / along, (high - start) / along];
    from = Math.max(from, Math.min(a, b));
    to = Math.min(to, Math.max(a, b));
  }
  return from <= to;
}

function touches(box: Box, taken: Taken): boolean {
  if ("box" in taken) return overlaps(box, taken.box);
  if ("line" in taken) return crosses(box, taken.line);
  const { x, y, r } = "disc" in taken ? taken.disc : taken.ring;
  const [near, far] = distances(box, x, y);
  return "disc" in taken ? near < r + AIR : near < r + AIR && r - AIR < far;
}

export class Labels {
  private readonly taken: Taken[] = [];

  constructor(private readonly bounds: Box) {}

  keepClear(...taken: Taken[]): void {
    this.taken.push(...taken);
  }

  /** Words whose place is given: others keep clear of them. */
  fixed(text: string, x: number, y: number, px: number, anchor: "start" | "middle" | "end" = "start"): void {
    this.taken.push({ box: boxOf(text, x, y, px, anchor) });
  }

  /** The nearest free place about a point; nothing where there is none. */
  place({ text, x, y, clear, prefer = [] }: Wanted, px: number = SMALL_PX): Placed | null {
    const width = wide(text, px) + 2 * AIR;
    const height = 1.23 * px + AIR;
    for (const further of FURTHER) {
      for (const direction of [...prefer, ...AROUND]) {
        const angle = (direction * Math.PI) / 180;
        const away = clear + further;
        const middle = [x + Math.sin(angle) * (away + width / 2), y - Math.cos(angle) * (away + height / 2)] as const;
        const box = { left: middle[0] - width / 2, right: middle[0] + width / 2, top: middle[1] - height / 2, bottom: middle[1] + height / 2 };
        if (!this.free(box)) continue;
        this.taken.push({ box });
        return { text, x: box.left + AIR, y: box.top + 0.95 * px + AIR / 2, box };
      }
    }
    return null;
  }

  /** The first of some places that is free, as words that begin there on their base line; nothing where none is. */
  placeAt(text: string, places: readonly (readonly [x: number, y: number, anchor: "start" | "middle" | "end"])[], px: number = SMALL_PX): Placed | null {
    for (const [x, y, anchor] of places) {
      const box = boxOf(text, x, y, px, anchor);
      if (!this.free(box)) continue;
      this.taken.push({ box });
      return { text, x: box.left + AIR, y, box };
    }
    return null;
  }

  private free(box: Box): boolean {
    const { left, top, right, bottom } = this.bounds;
    if (box.left < left || right < box.right || box.top < top || bottom < box.bottom) return false;
    return this.taken.every((it) => !touches(box, it));
  }
}

/** Base lines of words that stand one below the other, as near to where they belong as their height allows. */
export function apart(wanted: readonly number[], least: number, low: number, high: number): number[] {
  const order = wanted.map((_, index) => index).sort((a, b) => (wanted[a] ?? 0) - (wanted[b] ?? 0) || a - b);
  const at = [...wanted];
  let from = low;
  for (const index of order) {
    at[index] = Math.max(at[index] ?? low, from);
    from = (at[index] ?? low) + least;
  }
  let to = high;
  for (const index of [...order].reverse()) {
    at[index] = Math.min(at[index] ?? high, to);
    to = (at[index] ?? high) - least;
  }
  return at;
}
