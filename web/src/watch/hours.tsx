// The hours of the watch: water and wind as they were measured, out of the record, and as the plan foretells them on;
// what the set proved stands beside the wind.
import { useEffect, useState } from "preact/hooks";
import { get } from "../api";
import { clock } from "../boat_time";
import { Letters } from "../drawing/along_time";
import { closed, path, scale, ticks, type Scale } from "../drawing/scale";
import { useWidth } from "../drawing/size";
import { boatMinute, standing } from "../live";
import type { ForetoldStep, Hours as Measured, Piece } from "../shapes";
import { lengthIn, lengthUnit, speedIn, speedUnit } from "../units";
import { words } from "../words";

const BACK_H = 6;
const AHEAD_H = 12;
const HOUR_MS = 3_600_000;
/** Not oftener than this, however fast the boat's time runs. */
const EVERY_MS = 5_000;
const LEFT = 40;
const RIGHT = 12;
const TALL = 84;
const TOP = 22;
const GAP = 30;
const FOOT = 26;

type Point = [time: number, value: number];

/** A piece of what was measured, in the crew's unit. */
interface Spell {
  from: number;
  to: number;
  least: number;
  mean: number;
  most: number;
}

interface Strip {
  name: string;
  unit: string;
  measured: Spell[];
  foretold: { pen: string; points: Point[] }[];
  proved: number | null;
}

/** The last hours out of the record, asked for anew as it grows. */
function useMeasured(now: number | null): Measured | null {
  const [measured, setMeasured] = useState<Measured | null>(null);
  const [asked, setAsked] = useState(Number.NEGATIVE_INFINITY);
  useEffect(() => {
    if (now === null || performance.now() - asked < EVERY_MS) return;
    setAsked(performance.now());
    const from = new Date(now - BACK_H * HOUR_MS).toISOString();
    get<Measured>(`/watch/hours?from=${encodeURIComponent(from)}`).then(setMeasured, () => undefined);
  }, [now]);
  return measured;
}

export function Hours() {
  const { ref, width } = useWidth(360);
  const foretold = standing.value?.expected ?? null;
  const now = boatMinute.value;
  const measured = useMeasured(now);
  if (now === null) return null;
  const x = scale(now - BACK_H * HOUR_MS, now + AHEAD_H * HOUR_MS, LEFT, width - RIGHT);
  const all = strips(measured, foretold?.steps ?? [], foretold?.proved_wind_ms ?? null, x);
  const height = TOP + all.length * TALL + (all.length - 1) * GAP + FOOT;
  return (
    <div ref={ref} class="drawing hours">
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
      <p class="quiet key">{words.watch.hoursKey}</p>
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

function strips(measured: Measured | null, steps: ForetoldStep[], proved_ms: number | null, x: Scale): Strip[] {
  const foretold = (pick: (it: ForetoldStep) => number | null, into: (it: number) => number): Point[] =>
    steps
      .flatMap((it): Point[] => {
        const value = pick(it);
        return value === null ? [] : [[Date.parse(it.time), into(value)]];
      })
      .filter(([time]) => x.from <= time && time <= x.to);
  const every_ms = (measured?.every_s ?? 60) * 1000;
  const heard = (pieces: Piece[] | undefined, into: (it: number) => number): Spell[] =>
    (pieces ?? [])
      .map(([time, least, mean, most]) => ({ from: Date.parse(time), to: Date.parse(time) + every_ms, least: into(least), mean: into(mean), most: into(most) }))
      .filter((it) => x.from <= it.from);
  return [
    {
      name: words.watch.water,
      unit: lengthUnit(),
      measured: heard(measured?.water_m, lengthIn),
      foretold: [{ pen: "water", points: foretold((it) => it.water_m, lengthIn) }],
      proved: null,
    },
    {
      name: words.watch.wind,
      unit: speedUnit(),
      measured: heard(measured?.wind_ms, speedIn),
      foretold: [
        { pen: "wind", points: foretold((it) => it.wind_mean_ms, speedIn) },
        { pen: "gust", points: foretold((it) => it.wind_gust_ms, speedIn) },
      ],
      proved: proved_ms === null ? null : speedIn(proved_ms),
    },
  ];
}

/** Where nothing was measured there is a gap, never a line across it. */
function unbroken(all: Spell[]): Spell[][] {
  const runs: Spell[][] = [];
  for (const it of all) {
    const last = runs.at(-1);
    if (last && it.from <= (last.at(-1)?.to ?? 0)) last.push(it);
    else runs.push([it]);
  }
  return runs;
}

function MeasuredRun({ run, x, y }: { run: Spell[]; x: Scale; y: Scale }) {
  const over = run.flatMap((it): Point[] => [
    [x(it.from), y(it.most)],
    [x(it.to), y(it.most)],
  ]);
  const under = run.flatMap((it): Point[] => [
    [x(it.from), y(it.least)],
    [x(it.to), y(it.least)],
  ]);
  return (
    <g>
      <path class="between" d={closed([...over, ...under.reverse()])} />
      <path class="pen mean" d={path(run.map((it): Point => [x((it.from + it.to) / 2), y(it.mean)]))} />
    </g>
  );
}

function StripOf({ strip, x, top, width }: { strip: Strip; x: Scale; top: number; width: number }) {
  const values = [...strip.measured.flatMap((it) => [it.least, it.most]), ...strip.foretold.flatMap((it) => it.points.map(([, value]) => value))];
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
      {unbroken(strip.measured).map((run) => (
        <MeasuredRun key={run[0]?.from ?? 0} run={run} x={x} y={y} />
      ))}
      {strip.foretold.map((it) => (
        <path key={it.pen} class={`pen foretold ${it.pen}`} d={path(it.points.map(([time, value]) => [x(time), y(value)]))} />
      ))}
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
  const told = (value: number, unit: string) => (Number.isFinite(value) ? `${value.toFixed(1)} ${unit}` : words.unknown);
  return all
    .map(({ name, unit, measured, foretold }) => {
      const most = Math.max(...foretold.flatMap((it) => it.points.filter(([time]) => now <= time).map(([, value]) => value)));
      const least = Math.min(...measured.map((it) => it.least));
      const greatest = Math.max(...measured.map((it) => it.most));
      return words.watch.hours(name, told(least, unit), told(greatest, unit), told(most, unit));
    })
    .join(" ");
}
