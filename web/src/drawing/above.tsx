// From above, north up, the anchor in the middle: where she can lie as a stipple (the more dots, the longer she lies
// there), where she lies at the cursor, dangers and neighbours. The anchor and the neighbours can be moved.
import { useMemo, useRef, useState } from "preact/hooks";
import type { Moment, Offset, Pictures, Sheet } from "../sheet";
import { bearing, length, speed } from "../units";
import { words } from "../words";
import { Letters } from "./along_time";
import { closed, path, roundBelow } from "./scale";
import { useWidth } from "./size";

/** Dots for the whole of a stay. */
const DOTS = 900;
/** How far the drawing shows at first, in reaches: her own room at the least, what lies about her if it is not too far. */
const NEAREST = 1.7;
const FARTHEST = 2.8;
/** Steps by which the drawing comes nearer. */
const NEARER = 1.5;

interface Shape {
  name: string;
  kind: "danger" | "neighbour";
  outline: Offset[];
  radius_m: number;
  swings_about: Offset | null;
  circle_m: number | null;
}

/** Dangers and neighbours alike. */
function outlines(pictures: Pictures): Shape[] {
  const dangers = pictures.dangers.map((it): Shape => ({ ...it, kind: "danger", swings_about: null, circle_m: null }));
  const neighbours = pictures.neighbours.map(
    (it): Shape => ({ name: it.name, kind: "neighbour", outline: [it.at], radius_m: it.length_m / 2, swings_about: it.anchor, circle_m: it.circle_m }),
  );
  return [...dangers, ...neighbours];
}

const isClosed = (outline: Offset[]): boolean => {
  const [first, last] = [outline[0], outline.at(-1)];
  return 3 < outline.length && first !== undefined && first[0] === last?.[0] && first[1] === last[1];
};

export interface Moves {
  /** Whether a neighbour can be moved: he is told by range and bearing. */
  movable: (name: string) => boolean;
  onDrop: (offset: Offset, done: boolean) => void;
  onNeighbour: (name: string, to: Offset, done: boolean) => void;
}

export function Above(props: { sheet: Sheet; pictures: Pictures; moment: Moment | null; moves?: Moves | undefined }) {
  const { sheet, pictures, moment, moves } = props;
  const { ref, width } = useWidth(360);
  const [zoom, setZoom] = useState(1);
  const svg = useRef<SVGSVGElement>(null);
  const size = Math.min(width, 560);
  const reach = Math.max(20, ...pictures.lie.map((it) => it.reach_high_m));
  const middle = size / 2;
  const farthest = Math.max(0, ...outlines(pictures).flatMap((it) => it.outline.map(([east, north]) => Math.hypot(east, north))));
  const perMetre = ((size / 2 - 26) / Math.min(FARTHEST * reach, Math.max(NEAREST * reach, farthest))) * zoom;
  const at = ([east, north]: Offset): [number, number] => [middle + east * perMetre, middle - north * perMetre];
  const back = (clientX: number, clientY: number): Offset => {
    const box = svg.current?.getBoundingClientRect();
    return box ? [(clientX - box.left - middle) / perMetre, (middle - (clientY - box.top)) / perMetre] : [0, 0];
  };
  const stipple = useMemo(() => dots(pictures), [pictures]);
  const figures = moment?.figures ?? null;
  return (
    <div ref={ref} class="drawing above">
      <svg ref={svg} class="framed" width={size} height={size} role="img" aria-label={spoken(sheet, pictures, moment)}>
        <defs>
          <pattern id="hatched" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <line class="hatch" x1="0" y1="0" x2="0" y2="7" />
          </pattern>
        </defs>
        <rect class="sea" width={size} height={size} />
        {outlines(pictures).map((it) => (
          <Outline key={it.name} it={it} at={at} perMetre={perMetre} moves={moves} back={back} />
        ))}
        <path class="stipple" d={stipple.map((it) => dot(at(it))).join("")} />
        {(moment?.where ?? []).map((it) => (
          <path key={it.share} class={`where ${it.share < 0.7 ? "often" : "seldom"}`} d={closed(it.outline.map(at))} />
        ))}
        {moment?.hull ? (
          <g>
            <path class="rode" d={path([at([0, 0]), at(moment.hull.bow)])} />
            <path class="hull" d={closed(moment.hull.outline.map(at))} />
          </g>
        ) : null}
        <g
          class={moves ? "grip" : ""}
          onPointerDown={(event) => moves && event.currentTarget.setPointerCapture(event.pointerId)}
          onPointerMove={(event) => {
            if (moves && event.currentTarget.hasPointerCapture(event.pointerId)) moves.onDrop(back(event.clientX, event.clientY), false);
          }}
          onPointerUp={(event) => moves?.onDrop(back(event.clientX, event.clientY), true)}
        >
          {moves ? <circle class="target" cx={middle} cy={middle} r={22} /> : null}
          <path class="anchor" d={`M${middle} ${middle - 9}V${middle + 8}M${middle - 7} ${middle + 2}q1 6 7 6q6 0 7 -6M${middle - 4} ${middle - 5}h8`} />
        </g>
        <Wind from={figures?.wind_from_deg ?? null} says={figures ? speed(figures.wind_mean_ms) : ""} size={size} />
        <Stream towards={figures?.stream_towards_deg ?? null} says={figures?.stream_ms ? speed(figures.stream_ms) : ""} size={size} />
        <ScaleBar perMetre={perMetre} size={size} />
        <Letters x={size - 16} y={20} anchor="middle">
          {words.above.north}
        </Letters>
        <path class="axis" d={`M${size - 16} 26v14m-4 -9l4 -5l4 5`} />
      </svg>
      <p class="nearer">
        <button type="button" onClick={() => setZoom((it) => it / NEARER)} aria-label={words.above.farther}>
          −
        </button>
        <button type="button" onClick={() => setZoom((it) => it * NEARER)} aria-label={words.above.nearer}>
          +
        </button>
      </p>
    </div>
  );
}

const dot = ([x, y]: [number, number]) => `M${x.toFixed(1)} ${y.toFixed(1)}h0`;

/** Dots spread evenly over each sector's ring, as many as she lies there long. Even points, not chance: the same stay
 * looks the same each time (Roberts' plastic-number sequence). */
function dots(pictures: Pictures): Offset[] {
  const sector = (2 * Math.PI) / Math.max(1, pictures.lie.length);
  const all: Offset[] = [];
  let k = 0;
  for (const [index, it] of pictures.lie.entries()) {
    const count = Math.round(it.share * DOTS);
    for (let dot = 0; dot < count; dot++) {
      k += 1;
      const across = (0.5 + k * 0.7548776662466927) % 1;
      const along = (0.5 + k * 0.5698402909980532) % 1;
      const angle = (index + across) * sector;
      // By area, so that the outer half of the ring is not left thin.
      const far = Math.sqrt(it.reach_low_m ** 2 + along * (it.reach_high_m ** 2 - it.reach_low_m ** 2));
      all.push([far * Math.sin(angle), far * Math.cos(angle)]);
    }
  }
  return all;
}

function Outline(props: {
  it: Shape;
  at: (it: Offset) => [number, number];
  perMetre: number;
  moves: Moves | undefined;
  back: (x: number, y: number) => Offset;
}) {
  const { it, at, perMetre, moves, back } = props;
  const first = it.outline[0];
  if (!first) return null;
  const middle = it.outline.length === 1 ? first : mean(it.outline);
  const [x, y] = at(middle);
  const about = it.swings_about ? at(it.swings_about) : null;
  const movable = moves?.movable(it.name);
  return (
    <g class={it.kind}>
      {it.outline.length === 1 ? (
        <circle class="outline" cx={x} cy={y} r={Math.max(4, it.radius_m * perMetre)} />
      ) : (
        <path class={isClosed(it.outline) ? "outline" : "outline shore"} d={isClosed(it.outline) ? closed(it.outline.map(at)) : path(it.outline.map(at))} />
      )}
      {about && it.circle_m !== null ? <circle class="swing" cx={about[0]} cy={about[1]} r={it.circle_m * perMetre} /> : null}
      <Letters x={x} y={y - 8} anchor="middle" small halo>
        {it.name}
      </Letters>
      {moves && movable ? (
        <circle
          class="target grip"
          cx={x}
          cy={y}
          r={22}
          onPointerDown={(event) => event.currentTarget.setPointerCapture(event.pointerId)}
          onPointerMove={(event) => {
            if (event.currentTarget.hasPointerCapture(event.pointerId)) moves.onNeighbour(it.name, back(event.clientX, event.clientY), false);
          }}
          onPointerUp={(event) => moves.onNeighbour(it.name, back(event.clientX, event.clientY), true)}
        />
      ) : null}
    </g>
  );
}

function mean(points: Offset[]): Offset {
  const sum = points.reduce<Offset>((a, b) => [a[0] + b[0], a[1] + b[1]], [0, 0]);
  return [sum[0] / points.length, sum[1] / points.length];
}

/** An arrow at the rim that flies with the wind: from where it comes, into the drawing. */
function Wind({ from, says, size }: { from: number | null; says: string; size: number }) {
  if (from === null) return null;
  const angle = (from * Math.PI) / 180;
  const far = size / 2 - 16;
  const x = size / 2 + far * Math.sin(angle);
  const y = size / 2 - far * Math.cos(angle);
  return (
    <g class="wind">
      <path transform={`translate(${x.toFixed(1)} ${y.toFixed(1)}) rotate(${from.toFixed(0)})`} d="M0 -12V30M-7 18L0 30L7 18M0 -12l7 -5M0 -4l7 -5" />
      <Letters x={Math.min(size - 40, Math.max(40, x - 34 * Math.sin(angle)))} y={Math.min(size - 26, Math.max(26, y + 40 * Math.cos(angle)))} anchor="middle" small halo>
        {`${bearing(from)} ${says}`}
      </Letters>
    </g>
  );
}

function Stream({ towards, says, size }: { towards: number | null; says: string; size: number }) {
  if (towards === null || says === "") return null;
  const angle = (towards * Math.PI) / 180;
  const x = size / 2 - (size / 2 - 40) * Math.sin(angle);
  const y = size / 2 + (size / 2 - 40) * Math.cos(angle);
  return (
    <g class="stream">
      <path transform={`translate(${x.toFixed(1)} ${y.toFixed(1)}) rotate(${towards.toFixed(0)})`} d="M0 16V-16M-5 -8L0 -16L5 -8M-4 16q4 -4 8 0" />
      <Letters x={x} y={y + 30} anchor="middle" small halo>
        {says}
      </Letters>
    </g>
  );
}

function ScaleBar({ perMetre, size }: { perMetre: number; size: number }) {
  const long = roundBelow((size * 0.3) / perMetre);
  const y = size - 14;
  return (
    <g>
      <path class="axis" d={`M14 ${y - 5}v5h${(long * perMetre).toFixed(1)}v-5`} />
      <Letters x={14 + long * perMetre + 6} y={y + 1} small halo>
        {length(long)}
      </Letters>
    </g>
  );
}

function spoken(sheet: Sheet, pictures: Pictures, moment: Moment | null): string {
  const room = sheet.room.map((it) => words.above.roomTo(it.to, length(it.least_m, "down"))).join("; ");
  const figures = moment?.figures;
  const lies = figures ? words.above.lies(bearing(figures.heading_deg), length(figures.reach_m)) : words.above.cannotSay;
  return `${words.above.label}. ${lies} ${outlines(pictures).length === 0 ? "" : room}`;
}
