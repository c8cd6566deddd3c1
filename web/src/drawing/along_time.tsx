// Along time: water under the keel, wind and gust against what holds, room; the dark hours washed, the cursor under
// a finger. The other two drawings show what is at the cursor.
import { useMemo, useRef } from "preact/hooks";
import { clock, day } from "../boat_time";
import type { Instant, Sheet } from "../sheet";
import { length, lengthIn, lengthUnit, speed, speedIn, speedUnit } from "../units";
import { words } from "../words";
import { Labels, type Box } from "./labels";
import { Letters, Put } from "./letters";
import { path, scale, ticks, type Scale } from "./scale";
import { useWidth } from "./size";

export { Letters };

const LEFT = 40;
const RIGHT = 12;
const GAP = 26;
const TOP = 34;
const FOOT = 40;

/** Height of a strip: on a phone all three fit under the drawing that the eyes are on. */
const stripHeight = (width: number): number => (width < 600 ? 42 : 84);

interface Line {
  at: number;
  says: string;
  kind: "refuse" | "care" | "begins" | "proved";
}

interface Strip {
  name: string;
  unit: string;
  series: { values: (number | null)[]; pen: string; says: string }[];
  lines: Line[];
}

const or = <T,>(value: number | null, make: (value: number) => T): T | null => (value === null ? null : make(value));

function strips(sheet: Sheet): Strip[] {
  const of = (pick: (it: Instant) => number | null, into: (value: number) => number) =>
    sheet.instants.map((it) => or(pick(it), into));
  const limit = (key: string, kind: Line["kind"], says: string): Line[] => {
    const at = sheet.limits[key];
    return at === undefined ? [] : [{ at: lengthIn(at), kind, says }];
  };
  const wind: Line[] = [];
  if (sheet.band_begins_gust_ms !== null) {
    wind.push({ at: speedIn(sheet.band_begins_gust_ms), kind: "begins", says: words.along.begins });
  }
  if (sheet.proved_gust_ms !== null) {
    wind.push({ at: speedIn(sheet.proved_gust_ms), kind: "proved", says: words.along.proved });
  }
  return [
    {
      name: words.along.water,
      unit: lengthUnit(),
      series: [{ values: of((it) => it.under_keel_m, lengthIn), pen: "water", says: words.along.water }],
      lines: [
        ...limit("under_keel_refuse_m", "refuse", words.along.refuse),
        ...limit("under_keel_care_m", "care", words.along.care),
      ],
    },
    {
      name: words.along.wind,
      unit: speedUnit(),
      series: [
        { values: of((it) => it.wind_gust_ms, speedIn), pen: "gust", says: words.along.gust },
        { values: of((it) => it.wind_mean_ms, speedIn), pen: "wind", says: words.along.mean },
      ],
      lines: wind,
    },
    {
      name: words.along.room,
      unit: lengthUnit(),
      series: [{ values: of((it) => it.least_room_m, lengthIn), pen: "room", says: words.along.room }],
      lines: [...limit("room_refuse_m", "refuse", words.along.refuse), ...limit("room_care_m", "care", words.along.care)],
    },
  ];
}

export function AlongTime({ sheet, at, onMove }: { sheet: Sheet; at: number; onMove: (index: number) => void }) {
  const { ref, width } = useWidth(360);
  const all = useMemo(() => strips(sheet), [sheet, lengthUnit(), speedUnit()]);
  const times = useMemo(() => sheet.instants.map((it) => Date.parse(it.time)), [sheet]);
  const first = times[0] ?? 0;
  const last = times.at(-1) ?? 1;
  const x = scale(first, last, LEFT, width - RIGHT);
  const tall = stripHeight(width);
  const height = TOP + all.length * tall + (all.length - 1) * GAP + FOOT;
  const svg = useRef<SVGSVGElement>(null);

  const moveTo = (clientX: number) => {
    const box = svg.current?.getBoundingClientRect();
    if (!box || times.length === 0) return;
    const share = (clientX - box.left - LEFT) / (width - RIGHT - LEFT);
    const wanted = first + Math.min(1, Math.max(0, share)) * (last - first);
    let nearest = 0;
    for (const [index, time] of times.entries()) {
      if (Math.abs(time - wanted) < Math.abs((times[nearest] ?? 0) - wanted)) nearest = index;
    }
    onMove(nearest);
  };
  const onKey = (event: KeyboardEvent) => {
    const hour = Math.max(1, Math.round(3_600_000 / Math.max(1, (times[1] ?? last) - first)));
    const steps: Record<string, number> = {
      ArrowLeft: -1,
      ArrowRight: 1,
      ArrowDown: -1,
      ArrowUp: 1,
      PageDown: -hour,
      PageUp: hour,
      Home: -times.length,
      End: times.length,
    };
    const step = steps[event.key];
    if (step === undefined) return;
    event.preventDefault();
    onMove(Math.min(times.length - 1, Math.max(0, at + step)));
  };

  const here = sheet.instants[at];
  const cursor = x(times[at] ?? first);
  return (
    <div
      ref={ref}
      class="drawing along"
      role="slider"
      tabIndex={0}
      aria-label={words.along.label}
      aria-valuemin={0}
      aria-valuemax={Math.max(0, times.length - 1)}
      aria-valuenow={at}
      aria-valuetext={here ? spoken(here) : words.unknown}
      onKeyDown={onKey}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        moveTo(event.clientX);
      }}
      onPointerMove={(event) => {
        if (event.currentTarget.hasPointerCapture(event.pointerId)) moveTo(event.clientX);
      }}
    >
      <svg ref={svg} width={width} height={height} aria-hidden="true">
        <Dark sheet={sheet} x={x} height={height - FOOT} />
        {all.map((strip, index) => (
          <StripOf key={strip.name} strip={strip} x={x} times={times} top={TOP + index * (tall + GAP)} tall={tall} width={width} at={at} />
        ))}
        <Hours x={x} top={height - FOOT} turnsAt={TOP + tall} width={width} turns={sheet.turns} />
        <line class="cursor" x1={cursor} x2={cursor} y1={4} y2={height - FOOT + 6} />
        <path class="handle" d={`M${cursor} ${height - FOOT + 4}l9 12h-18z`} />
      </svg>
    </div>
  );
}

function spoken(here: Instant): string {
  return [
    `${day(here.time)} ${clock(here.time)}`,
    `${words.along.water} ${length(here.under_keel_m, "down")}`,
    `${words.along.wind} ${speed(here.wind_mean_ms)}, ${words.along.gust} ${speed(here.wind_gust_ms)}`,
    `${words.along.room} ${length(here.least_room_m, "down")}`,
  ].join("; ");
}

function Dark({ sheet, x, height }: { sheet: Sheet; x: Scale; height: number }) {
  const within = (time: string) => Math.min(x.to, Math.max(x.from, Date.parse(time)));
  return (
    <>
      {sheet.dark.map((dark) => {
        const [left, right] = [x(within(dark.from)), x(within(dark.to))];
        return right <= left ? null : (
          <g key={dark.from}>
            <rect class="dark" x={left} y={0} width={right - left} height={height} />
            <Letters x={(left + right) / 2} y={11} anchor="middle" small>
              {words.along.dark}
            </Letters>
          </g>
        );
      })}
    </>
  );
}

function StripOf(props: { strip: Strip; x: Scale; times: number[]; top: number; tall: number; width: number; at: number }) {
  const { strip, x, times, top, tall, width, at } = props;
  const known = strip.series.flatMap((it) => it.values).filter((it): it is number => it !== null);
  const marks = strip.lines.map((it) => it.at);
  const greatest = Math.max(1, ...known, ...marks.filter((it) => it <= 2.5 * Math.max(1, ...known)));
  const least = Math.min(0, ...known);
  const y = scale(least, greatest * 1.12, top + tall, top);
  const lines = strip.lines.filter((line) => line.at <= greatest * 1.12);
  const said = limitWords(lines, y, { left: LEFT + 2, top: top + 1, right: width - RIGHT, bottom: top + tall + 3 });
  return (
    <g>
      <line class="axis" x1={LEFT} x2={width - RIGHT} y1={top + tall} y2={top + tall} />
      {ticks(least, greatest * 1.12, 3).map((tick) => (
        <g key={tick}>
          <line class="hair" x1={LEFT} x2={width - RIGHT} y1={y(tick)} y2={y(tick)} />
          <Letters x={LEFT - 6} y={y(tick) + 4} anchor="end" small>
            {tick}
          </Letters>
        </g>
      ))}
      <Letters x={LEFT} y={top - 6}>
        {`${strip.name}, ${strip.unit}`}
      </Letters>
      {lines.map((line) => (
        <line key={line.kind} class={`limit ${line.kind}`} x1={LEFT} x2={width - RIGHT} y1={y(line.at)} y2={y(line.at)} />
      ))}
      {strip.series.map((series) => (
        <path
          key={series.pen}
          class={`pen ${series.pen}`}
          d={path(times.map((time, index) => or(series.values[index] ?? null, (value): [number, number] => [x(time), y(value)])))}
        />
      ))}
      <Gaps strip={strip} x={x} times={times} top={top} tall={tall} />
      {said.map((it) => (
        <Put key={it.text} it={it} />
      ))}
      {strip.series.map((series) => {
        const value = series.values[at] ?? null;
        return value === null ? null : <circle key={series.pen} class={`dot ${series.pen}`} cx={x(times[at] ?? 0)} cy={y(value)} r={4} />;
      })}
    </g>
  );
}

/** What limits say, each by its own line: above or below it, at either end. */
function limitWords(lines: Line[], y: Scale, room: Box) {
  // Off every line where that can be; where the lines stand too close, at least off each other.
  const [strict, labels] = [new Labels(room), new Labels(room)];
  for (const line of lines) strict.keepClear({ line: [room.left, y(line.at), room.right, y(line.at)] });
  const placed = lines.map((line) => {
    const [above, below] = [y(line.at) - 4, y(line.at) + 12];
    const ends = [[room.left + 4, "start"], [room.right - 2, "end"], [(room.left + room.right) / 2, "middle"]] as const;
    const first = line.kind === "refuse" || line.kind === "proved" ? ends : ([ends[1], ends[0], ends[2]] as const);
    const places = first.flatMap(([x, anchor]) => [above, below].map((base) => [x, base, anchor] as const));
    const it = strict.placeAt(line.says, places) ?? labels.placeAt(line.says, places);
    if (it) for (const all of [strict, labels]) all.keepClear({ box: it.box });
    return it;
  });
  return placed.filter((it) => it !== null);
}

/** Where nothing can be said the paper is crossed, never left calm. */
function Gaps({ strip, x, times, top, tall }: { strip: Strip; x: Scale; times: number[]; top: number; tall: number }) {
  const spans: [number, number][] = [];
  for (const index of times.keys()) {
    if (strip.series.some((it) => it.values[index] !== null)) continue;
    const open = spans.at(-1);
    if (open && open[1] === index - 1) open[1] = index;
    else spans.push([index, index]);
  }
  return (
    <>
      {spans.map(([from, to]) => (
        <rect
          key={from}
          class="cannot-say"
          x={x(times[from] ?? 0)}
          width={Math.max(4, x(times[to] ?? 0) - x(times[from] ?? 0))}
          y={top}
          height={tall}
        />
      ))}
    </>
  );
}

function Hours({ x, top, turnsAt, width, turns }: { x: Scale; top: number; turnsAt: number; width: number; turns: Sheet["turns"] }) {
  const hours = (x.to - x.from) / 3_600_000;
  const every = [1, 2, 3, 6, 12, 24].find((it) => hours / it <= width / 62) ?? 24;
  const marks: number[] = [];
  const hour = 3_600_000;
  for (let time = Math.ceil(x.from / hour) * hour; time <= x.to; time += hour) {
    if (Number(clock(new Date(time).toISOString()).slice(0, 2)) % every === 0) marks.push(time);
  }
  return (
    <g>
      {marks.map((time) => {
        const iso = new Date(time).toISOString();
        const midnight = clock(iso) === "00:00";
        return (
          <g key={time}>
            <line class="axis" x1={x(time)} x2={x(time)} y1={top} y2={top + (midnight ? 10 : 6)} />
            <Letters x={x(time)} y={top + 22} anchor="middle" small>
              {clock(iso)}
            </Letters>
            {midnight ? (
              <Letters x={x(time)} y={top + 35} anchor="middle" small>
                {day(iso)}
              </Letters>
            ) : null}
          </g>
        );
      })}
      {turns
        .filter((turn) => x.from <= Date.parse(turn.time) && Date.parse(turn.time) <= x.to)
        .map((turn) => {
          const at = x(Date.parse(turn.time));
          return <path key={turn.time} class="turn" d={turn.kind === "high" ? `M${at - 4} ${turnsAt + 8}l4 -6l4 6` : `M${at - 4} ${turnsAt + 2}l4 6l4 -6`} />;
        })}
    </g>
  );
}
