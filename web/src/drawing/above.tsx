// From above, north up, the anchor in the middle: where she can lie as a stipple (the more dots, the longer she lies
// there), where she lies at the cursor, dangers and neighbours. The anchor and the neighbours can be moved.
import { useMemo, useRef, useState } from "preact/hooks";
import type { Moment, Offset, Pictures, Sheet } from "../sheet";
import { bearing, length, lengthIn, lengthUnit, rounded, speed } from "../units";
import { words } from "../words";
import { Grip } from "./grip";
import { boxOf, Labels, SMALL_PX, type Box } from "./labels";
import { Letters, Put } from "./letters";
import { named, type Named } from "./names";
import { closed, path, roundBelow } from "./scale";
import { useWidth } from "./size";
import { arrow, asked, stands, TIMES, type WindGrip } from "./wind";

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
  /** Whether this device may change the stay; anybody may try a wind. */
  acts: boolean;
  /** Whether a neighbour can be moved: he is told by range and bearing. */
  movable: (name: string) => boolean;
  /** How far the anchor has been moved. */
  dropped: Offset;
  onDrop: (offset: Offset, done: boolean) => void;
  onNeighbour: (name: string, to: Offset, done: boolean) => void;
  wind: WindGrip;
}

/** A step of an arrow key, and a fine one, m. */
const STEP_M = 5;
const FINE_M = 1;

export function Above(props: { sheet: Sheet; pictures: Pictures; moment: Moment | null; moves?: Moves | undefined }) {
  const { sheet, pictures, moment, moves } = props;
  const { ref, width } = useWidth(360);
  const [zoom, setZoom] = useState(1);
  const svg = useRef<SVGSVGElement>(null);
  const size = Math.min(width, 560);
  const reach = Math.max(20, ...pictures.lie.map((it) => it.reach_high_m));
  const middle = size / 2;
  const shapes = outlines(pictures);
  const farthest = Math.max(0, ...shapes.flatMap((it) => it.outline.map(([east, north]) => Math.hypot(east, north))));
  const perMetre = ((size / 2 - 26) / Math.min(FARTHEST * reach, Math.max(NEAREST * reach, farthest))) * zoom;
  const at = ([east, north]: Offset): [number, number] => [middle + east * perMetre, middle - north * perMetre];
  const back = (clientX: number, clientY: number): Offset => {
    const box = svg.current?.getBoundingClientRect();
    return box ? [(clientX - box.left - middle) / perMetre, (middle - (clientY - box.top)) / perMetre] : [0, 0];
  };
  const stipple = useMemo(() => dots(pictures), [pictures]);
  const lettered = letters({ sheet, moment, moves, size, perMetre, shapes, at });
  return (
    <div ref={ref} class="drawing above">
      <svg ref={svg} class="framed" width={size} height={size} role={moves ? "group" : "img"} aria-label={spoken(sheet, pictures, moment)}>
        <defs>
          <pattern id="hatched" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <line class="hatch" x1="0" y1="0" x2="0" y2="7" />
          </pattern>
        </defs>
        <g aria-hidden="true">
          <rect class="sea" width={size} height={size} />
          {shapes.map((it) => (
            <Outline key={it.name} it={it} at={at} perMetre={perMetre} />
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
          <path class="anchor" d={`M${middle} ${middle - 9}V${middle + 8}M${middle - 7} ${middle + 2}q1 6 7 6q6 0 7 -6M${middle - 4} ${middle - 5}h8`} />
          <Furniture perMetre={perMetre} size={size} />
          {lettered.wind ? <path class={lettered.tried ? "wind-arrow tried" : "wind-arrow"} d={lettered.wind} /> : null}
          {lettered.stream ? <path class="stream-arrow" d={lettered.stream} /> : null}
          {lettered.all.map((it) => (
            <Put key={it.text + it.x} it={it} />
          ))}
        </g>
        {moves ? <Grips moves={moves} shapes={shapes} at={at} back={back} size={size} moment={moment} sheet={sheet} svg={svg} /> : null}
      </svg>
      <Key all={lettered.key} />
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

interface Lettering {
  sheet: Sheet;
  moment: Moment | null;
  moves: Moves | undefined;
  size: number;
  perMetre: number;
  shapes: Shape[];
  at: (it: Offset) => [number, number];
}

/** Arrows and every word of the drawing, each where it covers nothing. */
function letters({ sheet, moment, moves, size, perMetre, shapes, at }: Lettering) {
  const paper: Box = { left: 3, top: 3, right: size - 3, bottom: size - 3 };
  const labels = new Labels(paper);
  labels.keepClear({ box: northPlate(size) }, { box: scaleBar(perMetre, size).plate });
  labels.keepClear({ disc: { x: size / 2, y: size / 2, r: 11 } });
  if (moment?.hull) {
    const outline = moment.hull.outline.map(at);
    outline.forEach((it, index) => labels.keepClear({ line: [...it, ...(outline[index + 1] ?? outline[0] ?? it)] }));
    labels.keepClear({ line: [...at([0, 0]), ...at(moment.hull.bow)] });
  }
  const things = shapes.map((it): Named => {
    const about = it.swings_about && it.circle_m !== null ? at(it.swings_about) : null;
    const circle = about && it.circle_m !== null ? { x: about[0], y: about[1], r: it.circle_m * perMetre } : null;
    return { name: it.name, outline: it.outline.map(at), radius: Math.max(4, it.radius_m * perMetre), circle };
  });
  const wind = moves ? asked(sheet, moment, moves.wind) : stands(moment);
  const flies = wind ? arrow(wind, size) : null;
  const stream = streamArrow(moment, size);
  for (const it of [flies, stream]) if (it) labels.keepClear({ line: [...it.from, ...it.to] });
  const windSays = flies && wind ? labels.place({ text: words.above.wind(bearing(wind.from_deg), speed(wind.mean_ms), moves?.wind.tried ?? false), x: flies.to[0], y: flies.to[1], clear: 12 }) : null;
  const streamSays = stream ? labels.place({ text: stream.says, x: stream.to[0], y: stream.to[1], clear: 10 }) : null;
  const names = named(things, paper, labels);
  const all = [windSays, streamSays, ...names.placed, ...names.key.map((it) => it.placed)].filter((it) => it !== null);
  const where = (name: string) => {
    const it = shapes.find((shape) => shape.name === name);
    const near = it?.outline.reduce<Offset | null>((best, point) => (best && Math.hypot(...best) <= Math.hypot(...point) ? best : point), null);
    return near ? words.above.where(name, length(Math.hypot(...near), "down"), bearing((Math.atan2(near[0], near[1]) * 180) / Math.PI)) : name;
  };
  const unsaid = [windSays === null && flies && wind ? words.above.wind(bearing(wind.from_deg), speed(wind.mean_ms), moves?.wind.tried ?? false) : null];
  const key = [
    ...unsaid.filter((it) => it !== null),
    ...names.key.map((it) => `${it.number} ${where(it.name)}`),
    ...names.beyond.map((it) => words.above.beyond(where(it))),
  ];
  return { all, key, wind: flies?.d ?? null, stream: stream?.d ?? null, tried: moves?.wind.tried ?? false };
}

function Grips(props: {
  moves: Moves;
  shapes: Shape[];
  at: (it: Offset) => [number, number];
  back: (x: number, y: number) => Offset;
  size: number;
  moment: Moment | null;
  sheet: Sheet;
  svg: { current: SVGSVGElement | null };
}) {
  const { moves, shapes, at, back, size, moment, sheet, svg } = props;
  const middle = size / 2;
  const metres = (fine: boolean) => (fine ? FINE_M : STEP_M);
  const wind = asked(sheet, moment, moves.wind);
  const flies = wind ? arrow(wind, size) : null;
  const place = ([east, north]: Offset) => words.above.where("", length(Math.hypot(east, north)), bearing((Math.atan2(east, north) * 180) / Math.PI)).trim();
  return (
    <>
      {moves.acts ? <Grip
        label={words.above.dropGrip}
        says={place(moves.dropped)}
        now={Math.hypot(...moves.dropped)}
        least={0}
        most={20_000}
        x={middle}
        y={middle}
        // The anchor stays in the middle of the drawing: what is dragged is how far it goes from where it is.
        onDrag={(x, y, done) => moves.onDrop(back(x, y), done)}
        onStep={(right, up, fine) => moves.onDrop([moves.dropped[0] + right * metres(fine), moves.dropped[1] + up * metres(fine)], true)}
        onBack={() => moves.onDrop([0, 0], true)}
      /> : null}
      {shapes
        .filter((it) => moves.acts && it.kind === "neighbour" && moves.movable(it.name))
        .map((it) => {
          const here = it.outline[0] ?? [0, 0];
          const [x, y] = at(here);
          return (
            <Grip
              key={it.name}
              label={words.above.neighbourGrip(it.name)}
              says={place(here)}
              now={Math.hypot(...here)}
              least={0}
              most={20_000}
              x={x}
              y={y}
              onDrag={(clientX, clientY, done) => moves.onNeighbour(it.name, back(clientX, clientY), done)}
              onStep={(right, up, fine) => moves.onNeighbour(it.name, [here[0] + right * metres(fine), here[1] + up * metres(fine)], true)}
              onBack={() => undefined}
            />
          );
        })}
      {wind && flies ? (
        <Grip
          label={words.above.windGrip}
          says={words.above.wind(bearing(wind.from_deg), speed(wind.mean_ms), moves.wind.tried)}
          now={moves.wind.times * 100}
          least={TIMES.least * 100}
          most={TIMES.most * 100}
          x={flies.to[0]}
          y={flies.to[1]}
          onDrag={(clientX, clientY, done) => {
            const box = svg.current?.getBoundingClientRect();
            if (box) moves.wind.onDrag([clientX - box.left - middle, clientY - box.top - middle], size, done);
          }}
          onStep={(right, up, fine) => moves.wind.onStep(right * (fine ? 1 : 5), up * (fine ? 0.01 : 0.1))}
          onBack={() => moves.wind.onBack()}
        >
          <circle class="knob" cx={flies.to[0]} cy={flies.to[1]} r={7} />
        </Grip>
      ) : null}
    </>
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

function Outline({ it, at, perMetre }: { it: Shape; at: (it: Offset) => [number, number]; perMetre: number }) {
  const first = it.outline[0];
  if (!first) return null;
  const [x, y] = at(first);
  const about = it.swings_about ? at(it.swings_about) : null;
  return (
    <g class={it.kind}>
      {it.outline.length === 1 ? (
        <circle class="outline" cx={x} cy={y} r={Math.max(4, it.radius_m * perMetre)} />
      ) : (
        <path class={isClosed(it.outline) ? "outline" : "outline shore"} d={isClosed(it.outline) ? closed(it.outline.map(at)) : path(it.outline.map(at))} />
      )}
      {about && it.circle_m !== null ? <circle class="swing" cx={about[0]} cy={about[1]} r={it.circle_m * perMetre} /> : null}
    </g>
  );
}

/** An arrow that flies with the stream, its shaft a wave: it needs no ink of its own to be told from the wind's. */
function streamArrow(moment: Moment | null, size: number) {
  const figures = moment?.figures;
  if (!figures?.stream_ms || figures.stream_towards_deg === null) return null;
  const angle = (figures.stream_towards_deg * Math.PI) / 180;
  const [sin, cos] = [Math.sin(angle), Math.cos(angle)];
  const far = size / 2 - 44;
  const along = (from: number, aside: number): [number, number] => [size / 2 - sin * (far - from) + cos * aside, size / 2 + cos * (far - from) + sin * aside];
  const shaft = Array.from({ length: 12 }, (_, step) => along(step * 2.6, 2.5 * Math.sin(step * 1.3)));
  const head: [number, number][] = [along(24, -5), along(34, 0), along(24, 5)];
  return { d: path(shaft) + path(head), from: along(0, 0), to: along(34, 0), says: words.above.stream(speed(figures.stream_ms)) };
}

/** So many are told outright; more are there for a tap. */
const TOLD = 4;

function Key({ all }: { all: string[] }) {
  if (all.length === 0) return null;
  if (all.length <= TOLD) return <p class="quiet key">{all.join("; ")}</p>;
  return (
    <details class="key">
      <summary>{words.above.key(all.length)}</summary>
      <ul class="lines">
        {all.map((it) => (
          <li key={it}>{it}</li>
        ))}
      </ul>
    </details>
  );
}

const northPlate = (size: number): Box => ({ left: size - 27, right: size - 5, top: 4, bottom: 44 });

/** North and scale, each on a plate of its own over whatever lies beneath. */
function Furniture({ perMetre, size }: { perMetre: number; size: number }) {
  const [bar, north] = [scaleBar(perMetre, size), northPlate(size)];
  return (
    <g class="plated">
      {[north, bar.plate].map((it) => (
        <rect key={it.left} class="plate" x={it.left} y={it.top} width={it.right - it.left} height={it.bottom - it.top} />
      ))}
      <path class="axis" d={`M${size - 16} 26v14m-4 -9l4 -5l4 5`} />
      <Letters x={size - 16} y={20} anchor="middle">
        {words.above.north}
      </Letters>
      <path class="axis" d={bar.d} />
      <Letters x={bar.x} y={size - 13} small>
        {bar.says}
      </Letters>
    </g>
  );
}

/** A round length in the crew's unit. */
function scaleBar(perMetre: number, size: number) {
  const long = roundBelow(lengthIn((size * 0.3) / perMetre));
  const across = (long / lengthIn(1)) * perMetre;
  const y = size - 14;
  const says = `${rounded(long, long < 1 ? 2 : 0, "near")} ${lengthUnit()}`;
  const x = 14 + across + 6;
  const plate: Box = { left: 6, right: boxOf(says, x, y, SMALL_PX).right + 3, top: y - 13, bottom: y + 8 };
  return { d: `M14 ${y - 5}v5h${across.toFixed(1)}v-5`, x, says, plate };
}

function spoken(sheet: Sheet, pictures: Pictures, moment: Moment | null): string {
  const room = sheet.room.map((it) => words.above.roomTo(it.to, length(it.least_m, "down"))).join("; ");
  const figures = moment?.figures;
  const lies = figures ? words.above.lies(bearing(figures.heading_deg), length(figures.reach_m)) : words.above.cannotSay;
  return `${words.above.label}. ${lies} ${outlines(pictures).length === 0 ? "" : room}`;
}
