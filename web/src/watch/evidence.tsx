// Where she lies, where she may lie, and the trace that says so.
import { useEffect, useState } from "preact/hooks";
import { get } from "../api";
import { clock } from "../boat_time";
import { Letters } from "../drawing/along_time";
import { closed, path, roundBelow } from "../drawing/scale";
import { useWidth } from "../drawing/size";
import { me, neighbours, view } from "../live";
import type { Offset } from "../sheet";
import type { Density, Track, Wakes } from "../shapes";
import { bearing, length } from "../units";
import { words } from "../words";
import { say } from "./alarms";
import { at as placed, bearingOf, far, offset, placeAt } from "./field";
import { isOld } from "./old";

/** Between two askings for what is drawn slowly. */
const EVERY_MS = 5_000;

/** What is asked for of vessels near by, less often: they report every few minutes. */
const WAKES_EVERY_MS = 15_000;

function useWakes(): Wakes {
  const [wakes, setWakes] = useState<Wakes>({});
  useEffect(() => {
    const load = () => void get<{ paths: Wakes | null }>("/watch/neighbours").then((it) => setWakes(it.paths ?? {}), () => undefined);
    load();
    const timer = setInterval(load, WAKES_EVERY_MS);
    return () => clearInterval(timer);
  }, []);
  return wakes;
}

/** The trace, asked for now and then; the live voice brings the last word in between. */
export function useTrack(): Track | null {
  const [track, setTrack] = useState<Track | null>(null);
  useEffect(() => {
    const load = () => void get<Track>("/watch/track?tolerance_m=0.5").then(setTrack, () => undefined);
    load();
    const timer = setInterval(load, EVERY_MS);
    return () => clearInterval(timer);
  }, []);
  return track;
}

export function Evidence({ track }: { track: Track | null }) {
  const { ref, width } = useWidth(360);
  const [asked, setAsked] = useState<Density | null>(null);
  const [marking, setMarking] = useState(false);
  const [mark, setMark] = useState<Offset | null>(null);
  const wakes = useWakes();
  useEffect(() => {
    void get<{ density: Density | null }>("/watch/density").then((it) => setAsked(it.density), () => undefined);
  }, []);
  // The live voice tells it with the neighbours; until it does, what was asked for stands.
  const density = neighbours.value?.density ?? asked;
  const said = view.value;
  const anchor = said?.anchor ?? null;
  if (!said || !anchor) return <p class="cannot-say-words">{words.watch.unknownHere}</p>;
  const points = (track?.points ?? []).map(([, lat, lon]): Offset => offset(anchor, { lat, lon }));
  const here = said.here ? offset(anchor, said.here) : null;
  const rim = Math.max(15, density?.circle_m ?? 0, ...(density?.within ?? []).flatMap((it) => it.outline.map(far)), here ? far(here) : 0);
  const size = Math.min(width, 560);
  const middle = size / 2;
  const perMetre = (size / 2 - 18) / (rim * 1.15);
  const at = ([east, north]: Offset): [number, number] => [middle + east * perMetre, middle - north * perMetre];
  const touch = (event: PointerEvent) => {
    if (!marking) return;
    const box = (event.currentTarget as SVGSVGElement).getBoundingClientRect();
    setMark([(event.clientX - box.left - middle) / perMetre, (middle - (event.clientY - box.top)) / perMetre]);
  };
  // What was seen last is no place where she is.
  const old = said.here !== null && isOld(said.here.time, said.time);
  const told = here ? words.watch.here(bearing(bearingOf(here)), length(far(here))) : words.watch.unknownHere;
  const spoken = said.here && old ? `${words.watch.lastSeen(clock(said.here.time))} ${words.watch.unknownHere}` : told;
  const long = roundBelow((size * 0.3) / perMetre);
  return (
    <div ref={ref} class="drawing above">
      <svg class={marking ? "framed marking" : "framed"} width={size} height={size} role="img" onPointerDown={touch} onPointerMove={(event) => 0 < event.buttons && touch(event)} aria-label={`${words.watch.drawing}. ${spoken}`}>
        <rect class="sea" width={size} height={size} />
        {(density?.within ?? []).map((it) => (
          <path key={it.share} class={`where ${it.share < 0.7 ? "often" : "seldom"}`} d={closed(it.outline.map(at))} />
        ))}
        {density ? <circle class="swing" cx={middle} cy={middle} r={density.circle_m * perMetre} /> : null}
        <path class="trace" d={points.map((it) => dot(at(it))).join("")} />
        <path class="trace late" d={path(points.slice(-120).map(at))} />
        {here ? <path class={old ? "rode old" : "rode"} d={path([at([0, 0]), at(here)])} /> : null}
        {here ? <Boat old={old} at={at(here)} heading={said.here?.heading_deg ?? null} long={Math.max(14, 12 * perMetre)} /> : null}
        {density ? (
          <ellipse
            class="spread"
            transform={`translate(${middle} ${middle}) rotate(${density.ellipse.along_deg.toFixed(1)})`}
            rx={Math.max(2, density.ellipse.short_m * perMetre)}
            ry={Math.max(2, density.ellipse.long_m * perMetre)}
          />
        ) : (
          <circle class="spread" cx={middle} cy={middle} r={Math.max(2, 2 * anchor.sigma_m * perMetre)} />
        )}
        <path class="anchor" d={`M${middle} ${middle - 9}V${middle + 8}M${middle - 7} ${middle + 2}q1 6 7 6q6 0 7 -6M${middle - 4} ${middle - 5}h8`} />
        {(neighbours.value?.neighbours ?? []).map((it) => {
          const place = offset(anchor, placed(it.at));
          if (rim * 1.3 < far(place)) return null;
          const [x, y] = at(place);
          const wake = (wakes[it.mmsi] ?? []).map((there) => at(offset(anchor, placed(there))));
          return (
            <g key={it.mmsi} class="neighbour" data-state={it.state}>
              <path class="wake" d={path([...wake, [x, y]])} />
              <Boat at={[x, y]} heading={null} long={Math.max(10, 10 * perMetre)} />
              <Letters x={x} y={y - 12} anchor="middle" small halo>
                {`${it.name ?? it.mmsi}: ${words.watch.states[it.state] ?? it.state}`}
              </Letters>
            </g>
          );
        })}
        {mark ? <Mark at={at(mark)} /> : null}
        <path class="axis" d={`M14 ${size - 19}v5h${(long * perMetre).toFixed(1)}v-5`} />
        <Letters x={14 + long * perMetre + 6} y={size - 13} small halo>
          {length(long).replace(/\.0(?= )/, "")}
        </Letters>
        <Letters x={size - 16} y={20} anchor="middle">
          {words.above.north}
        </Letters>
      </svg>
      <p>
        {spoken} <span class="quiet">{words.watch.anchor(length(2 * anchor.sigma_m, "up"))}</span>
      </p>
      <p class="quiet key">{words.watch.key}</p>
      {me.value?.role === "act" ? (
        <Marking
          anchor={anchor}
          marking={marking}
          mark={mark}
          begin={() => (setMarking(true), setMark(null))}
          end={() => (setMarking(false), setMark(null))}
        />
      ) : null}
    </div>
  );
}

/** The anchor set by hand: touched on the drawing, told in figures, and said only when the crew say so. */
function Marking(it: { anchor: { lat: number; lon: number }; marking: boolean; mark: Offset | null; begin: () => void; end: () => void }) {
  const [answer, setAnswer] = useState("");
  const { mark } = it;
  const tell = () => {
    if (!mark) return;
    const [lat, lon] = placeAt(it.anchor, mark);
    void say(`dropped ${lat.toFixed(7)},${lon.toFixed(7)}`).then(setAnswer, (error: Error) => setAnswer(error.message));
    it.end();
  };
  return (
    <>
      {it.marking ? <p aria-live="polite">{mark ? words.watch.marked(length(far(mark)), bearing(bearingOf(mark))) : words.watch.markHelp}</p> : null}
      <p class="doings">
        {it.marking ? (
          <>
            <button type="button" disabled={mark === null} onClick={tell}>
              {words.watch.markSay}
            </button>
            <button type="button" onClick={it.end}>
              {words.watch.markNot}
            </button>
          </>
        ) : (
          <button type="button" onClick={it.begin}>
            {words.watch.mark}
          </button>
        )}
      </p>
      <p aria-live="polite" class="quiet">
        {answer}
      </p>
    </>
  );
}

const Mark = ({ at: [x, y] }: { at: [number, number] }) => <path class="mark-by-hand" d={`M${x - 12} ${y}h24M${x} ${y - 12}v24`} />;

const dot = ([x, y]: [number, number]) => `M${x.toFixed(1)} ${y.toFixed(1)}h0`;

function Boat({ at: [x, y], heading, long, old = false }: { at: [number, number]; heading: number | null; long: number; old?: boolean }) {
  const half = long * 0.17;
  return heading === null ? (
    <circle class={old ? "hull old" : "hull"} cx={x} cy={y} r={Math.max(4, half)} />
  ) : (
    <path
      class={old ? "hull old" : "hull"}
      transform={`translate(${x.toFixed(1)} ${y.toFixed(1)}) rotate(${heading.toFixed(1)})`}
      d={`M0 0C${half} ${long * 0.25} ${half} ${long * 0.6} ${half * 0.8} ${long}H${-half * 0.8}C${-half} ${long * 0.6} ${-half} ${long * 0.25} 0 0Z`}
    />
  );
}
