// The names of what lies about her, where there is room for them; the others stand in a key beneath the drawing.
import { Labels, type Box, type Placed } from "./labels";

export interface Named {
  name: string;
  /** Its outline on the paper. */
  outline: [number, number][];
  /** How far its body reaches about a lone point, px. */
  radius: number;
  /** Where he swings, px. */
  circle: { x: number; y: number; r: number } | null;
}

export interface Names {
  placed: Placed[];
  /** Numbers that stand for a name in the key. */
  key: { number: number; name: string; placed: Placed | null }[];
  /** What lies beyond the paper. */
  beyond: string[];
}

/** The point of an outline that is on the paper and nearest to its middle; nothing where none is. */
function seen(outline: [number, number][], paper: Box): [number, number] | null {
  const middle = [(paper.left + paper.right) / 2, (paper.top + paper.bottom) / 2] as const;
  let best: [number, number] | null = null;
  let least = Infinity;
  const look = ([x, y]: [number, number]) => {
    const far = Math.hypot(x - middle[0], y - middle[1]);
    if (x < paper.left || paper.right < x || y < paper.top || paper.bottom < y || least <= far) return;
    [best, least] = [[x, y], far];
  };
  outline.forEach(look);
  for (let index = 1; index < outline.length; index++) {
    const [a, b] = [outline[index - 1], outline[index]];
    if (!a || !b) continue;
    for (let share = 0.1; share < 0.95; share += 0.1) look([a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]);
  }
  return best;
}

const round = ({ x, y, r }: { x: number; y: number; r: number }): [number, number][] =>
  Array.from({ length: 72 }, (_, step) => [x + r * Math.sin((step * Math.PI) / 36), y + r * Math.cos((step * Math.PI) / 36)]);

/** What words keep clear of, whoever's they are. */
function keepClear(labels: Labels, things: readonly Named[]): void {
  for (const it of things) {
    if (it.outline.length === 1 && it.outline[0]) labels.keepClear({ disc: { x: it.outline[0][0], y: it.outline[0][1], r: it.radius } });
    for (let index = 1; index < it.outline.length; index++) {
      const [a, b] = [it.outline[index - 1], it.outline[index]];
      if (a && b) labels.keepClear({ line: [...a, ...b] });
    }
    if (it.circle) labels.keepClear({ ring: it.circle });
  }
}

export function named(things: readonly Named[], paper: Box, labels: Labels): Names {
  keepClear(labels, things);
  const middle = [(paper.left + paper.right) / 2, (paper.top + paper.bottom) / 2] as const;
  const names: Names = { placed: [], key: [], beyond: [] };
  // Whoever lies nearest is named first.
  // Of whom only the circle is on the paper, that is named.
  const at = things.map((it) => ({ it, at: seen(it.outline, paper) ?? (it.circle ? seen(round(it.circle), paper) : null) }));
  const far = (point: [number, number] | null) => (point ? Math.hypot(point[0] - middle[0], point[1] - middle[1]) : Infinity);
  at.sort((a, b) => far(a.at) - far(b.at));
  for (const { it, at: point } of at) {
    if (!point) {
      names.beyond.push(it.name);
      continue;
    }
    const [x, y] = point;
    const outward = (Math.atan2(x - middle[0], middle[1] - y) * 180) / Math.PI;
    const about = { x, y, clear: (it.outline.length === 1 ? it.radius : 0) + 4, prefer: [outward, outward + 45, outward - 45] };
    const placed = labels.place({ text: it.name, ...about });
    if (placed) {
      names.placed.push(placed);
      continue;
    }
    const number = names.key.length + 1;
    names.key.push({ number, name: it.name, placed: labels.place({ text: String(number), ...about }) });
  }
  return names;
}
