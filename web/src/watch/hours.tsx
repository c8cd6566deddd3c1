// The hours of the watch: water and wind as they were measured, and as the plan foretells them on; what the set proved
// stands beside the wind.
import { effect, signal } from "@preact/signals";
import { clock } from "../boat_time";
import { Letters } from "../drawing/along_time";
import { path, scale, ticks, type Scale } from "../drawing/scale";
import { useWidth } from "../drawing/size";
import { boatTime, standing, view } from "../live";
import type { ForetoldStep } from "../shapes";
import { lengthIn, lengthUnit, speedIn, speedUnit } from "../units";
import { words } from "../words";

const BACK_H = 6;
const AHEAD_H = 12;
const HOUR_MS = 3_600_000;
const LEFT = 40;
const RIGHT = 12;
const TALL = 84;
const TOP = 22;
const GAP = 30;
const FOOT = 26;

type Point = [time: number, value: number];

interface Strip {
  name: string;
  unit: string;
  measured: Point[];
  foretold: { pen: string; points: Point[] }[];
  proved: number | null;
}

/** What was measured since this page was opened: one point a minute. */
const measured = signal<{ water: Point[]; wind: Point[] }>({ water: [], wind: [] });
const MINUTE_MS = 60_000;

function remember(points: Point[], time: number, value: number | null): Point[] {
  const last = points.at(-1)?.[0] ?? 0;
  if (value === null || time < last + MINUTE_MS) return points;
  return [...points, [time, value] as Point].filter(([then]) => time - BACK_H * HOUR_MS <= then);
}

effect(() => {
  const here = view.value?.here;
  if (!here) return;
  const time = Date.parse(here.time);
  const { water, wind } = measured.peek();
  const next = { water: remember(water, time, here.depth_m), wind: remember(wind, time, here.wind_ms) };
  if (next.water !== water || next.wind !== wind) measured.value = next;
});

export function Hours() {
  const { ref, width } = useWidth(360);
  const foretold = standing.value?.expected ?? null;
  if (boatTime.value === null) return null;
  // To the minute: nothing is drawn anew at every tick.
  const now = Math.floor(Date.parse(boatTime.value) / 60_000) * 60_000;
  const x = scale(now - BACK_H * HOUR_MS, now + AHEAD_H * HOUR_MS, LEFT, width - RIGHT);
  const all = strips(foretold?.steps ?? [], foretold?.proved_wind_ms ?? null, x);
  const height = TOP + all.length * TALL + (all.length - 1) * GAP + FOOT;
  return (
    <div ref={ref} class="drawing">
      <svg width={width} height={height} role="img" aria-label={spoken(all, now)}>
        {all.map((strip, index) => (
          <StripOf key={strip.name} strip={strip} x={x} top={TOP + index * (TALL + GAP)} width={width} />
        ))}
        {marks(x).map((time) => (
          <g key={time}>
            <line class="axis" x1={x(time)} x2={x(time)} y1={height - FOOT} y2={height - FOOT + 5} />
            <Letters x={x(time)} y={height - 6} anchor="middle" small>
              {clock(new Date(time).toISOString())}
            </Letters>
          </g>
        ))}
        <line class="cursor" x1={x(now)} x2={x(now)} y1={TOP - 8} y2={height - FOOT} />
        <Letters x={x(now)} y={TOP - 11} anchor="middle" small halo>
          {words.watch.now}
        </Letters>
      </svg>
    </div>
  );
}

function marks(x: Scale): number[] {
  const all: number[] = [];
  for (let time = Math.ceil(x.from / HOUR_MS) * HOUR_MS; time <= x.to; time += HOUR_MS) {
    if (Number(clock(new Date(time).toISOString()).slice(0, 2)) % 3 === 0) all.push(time);
  }
  return all;
}

function strips(steps: ForetoldStep[], proved_ms: number | null, x: Scale): Strip[] {
  const shown = ([time]: Point) => x.from <= time && time <= x.to;
  const foretold = (pick: (it: ForetoldStep) => number | null, into: (it: number) => number): Point[] =>
    steps
      .flatMap((it): Point[] => {
        const value = pick(it);
        return value === null ? [] : [[Date.parse(it.time), into(value)]];
      })
      .filter(shown);
  const heard = (points: Point[], into: (it: number) => number) => points.filter(shown).map(([time, value]): Point => [time, into(value)]);
  return [
    {
      name: words.watch.water,
      unit: lengthUnit(),
      measured: heard(measured.value.water, lengthIn),
      foretold: [{ pen: "water", points: foretold((it) => it.water_m, lengthIn) }],
      proved: null,
    },
    {
      name: words.watch.wind,
      unit: speedUnit(),
      measured: heard(measured.value.wind, speedIn),
      foretold: [
        { pen: "wind", points: foretold((it) => it.wind_mean_ms, speedIn) },
        { pen: "gust", points: foretold((it) => it.wind_gust_ms, speedIn) },
      ],
      proved: proved_ms === null ? null : speedIn(proved_ms),
    },
  ];
}

function StripOf({ strip, x, top, width }: { strip: Strip; x: Scale; top: number; width: number }) {
  const values = [...strip.measured, ...strip.foretold.flatMap((it) => it.points)].map(([, value]) => value);
  const most = Math.max(1, ...values, strip.proved ?? 0) * 1.12;
  const y = scale(Math.min(0, ...values), most, top + TALL, top);
  return (
    <g>
      <line class="axis" x1={LEFT} x2={width - RIGHT} y1={top + TALL} y2={top + TALL} />
      {ticks(y.from, most, 3).map((tick) => (
        <g key={tick}>
          <line class="hair" x1={LEFT} x2={width - RIGHT} y1={y(tick)} y2={y(tick)} />
          <Letters x={LEFT - 6} y={y(tick) + 4} anchor="end" small>
            {tick}
          </Letters>
        </g>
      ))}
      <Letters x={LEFT} y={top - 6}>{`${strip.name}, ${strip.unit}`}</Letters>
      {strip.foretold.map((it) => (
        <path key={it.pen} class={`pen foretold ${it.pen}`} d={path(it.points.map(([time, value]) => [x(time), y(value)]))} />
      ))}
      <path class="trace" d={strip.measured.map(([time, value]) => `M${x(time).toFixed(1)} ${y(value).toFixed(1)}h0`).join("")} />
      {strip.proved === null ? null : (
        <g>
          <line class="limit proved" x1={LEFT} x2={width - RIGHT} y1={y(strip.proved)} y2={y(strip.proved)} />
          <Letters x={LEFT + 6} y={y(strip.proved) - 4} small halo>
            {words.along.proved}
          </Letters>
        </g>
      )}
    </g>
  );
}

function spoken(all: Strip[], now: number): string {
  return all
    .map((strip) => {
      const last = strip.measured.at(-1)?.[1];
      const most = Math.max(...strip.foretold.flatMap((it) => it.points.filter(([time]) => now <= time).map(([, value]) => value)));
      return words.watch.hours(
        strip.name,
        last === undefined ? words.unknown : `${last.toFixed(1)} ${strip.unit}`,
        Number.isFinite(most) ? `${most.toFixed(1)} ${strip.unit}` : words.unknown,
      );
    })
    .join(" ");
}

