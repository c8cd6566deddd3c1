import { useEffect, useState } from "preact/hooks";
import { get, send } from "../api";
import { clock, day } from "../boat_time";
import { boatMinute, instruments, me, neighbours, standing, view } from "../live";
import { route, to } from "../route";
import type { Instruments, Place, WatchView, Word } from "../shapes";
import { bearing, length, speed } from "../units";
import { words } from "../words";
import { Alarms, say } from "./alarms";
import { Evidence, useTrack } from "./evidence";
import { at, bearingOf, far, offset } from "./field";
import { Hours } from "./hours";
import { Log } from "./log";
import { isOld } from "./old";
import { ThisDevice } from "./taking";
import { Tell } from "./tell";

const SAYS: Record<Word, string> = {
  holding: "well",
  doubtful: "care",
  dragging: "refuse",
  blind: "unknown",
  under_way: "well",
};

export function WatchRoom() {
  const [first, id] = route.value.rest;
  if (first === "take" && id !== undefined) return <Take id={id} />;
  const said = view.value;
  return said ? <Kept said={said} /> : <NoWatch />;
}

function Kept({ said }: { said: WatchView }) {
  const track = useTrack();
  return (
    <article class="watch" aria-labelledby="word" data-rings={said.alarms.some((it) => it.standing === "ringing")}>
      <div class="watch-first">
        <Head said={said} />
        <Alarms />
        <ThisDevice />
      </div>
      <div class="watch-second">
        <Evidence track={track} />
        <Now said={said} />
        <Hours />
        <Neighbours />
      </div>
      <div class="watch-third">
        {me.value?.role === "act" ? <Tell /> : null}
        <Log />
      </div>
    </article>
  );
}

function Head({ said }: { said: WatchView }) {
  const moved = said.moved;
  // What an alarm below says with its own button is not said twice: who is woken reads one thing and does one.
  const rung = new Set(said.alarms.filter((it) => it.standing === "ringing").map((it) => it.text));
  const codes = new Set([...said.reasons, ...said.alarms].map((it) => it.code));
  const why = said.reasons.filter((it) => !rung.has(it.text));
  const next = standing.value?.next;
  return (
    <header class="watch-head">
      <h1 id="word" class="verdict huge" data-says={SAYS[said.verdict]} aria-live="assertive">
        {words.watch.words[said.verdict]}
      </h1>
      <p class="quiet">{words.watch.since(`${day(said.since)} ${clock(said.since)}`)}</p>
      <ul class="why">
        {why.map((it) => (
          <li key={it.code}>{it.text}</li>
        ))}
        {said.backstop && !codes.has("outside_circle") ? <li>{words.watch.outside}</li> : null}
      </ul>
      {moved && !codes.has("anchor_gone") ? (
        <p>
          {words.watch.gone(
            length(moved.distance_m, "up"),
            length(2 * moved.sigma_m, "up"),
            moved.toward_deg === null ? "" : words.watch.toward(bearing(moved.toward_deg)),
          )}
        </p>
      ) : null}
      {next ? (
        <p class="quiet">
          {words.watch.next}: {words.watch.coming[next.code] ?? next.code}, {`${day(next.time)} ${clock(next.time)}`}
        </p>
      ) : null}
    </header>
  );
}

function Now({ said }: { said: WatchView }) {
  const here = said.here && !isOld(said.here.time, said.time) ? said.here : null;
  const expected = standing.value?.expected;
  const step = expected?.steps.findLast((it) => it.time <= said.time);
  const battery = instruments.value?.battery;
  const known = <T,>(value: T | null | undefined, text: (value: T) => string) => (value === null || value === undefined ? words.unknown : text(value));
  const figures: [string, string][] = [
    [words.watch.depthNow, known(here?.depth_m, (it) => length(it, "down"))],
    [words.watch.windNow, known(here?.wind_ms, (it) => `${speed(it)} ${words.cursor.from(bearing(here?.wind_from_deg ?? null))}`)],
    [words.watch.foretold, known(step?.wind_gust_ms, (it) => speed(it))],
    [words.watch.proof, known(expected?.proved_wind_ms, (it) => speed(it, "down"))],
    [words.cursor.heading, known(here?.heading_deg, bearing)],
    [words.watch.battery, known(battery?.volts, (it) => `${it.toFixed(1)} V`)],
  ];
  return (
    <dl class="figures">
      {figures.map(([what, value]) => (
        <div key={what}>
          <dt>{what}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

const placeOf = (heard: Instruments | null): Place | null => (heard?.fix ? [heard.fix.lat, heard.fix.lon] : null);

function awayFrom(here: Place, there: Place): string {
  const way = offset(at(here), at(there));
  return `${length(far(way), "down")} ${bearing(bearingOf(way))}`;
}

function Neighbours() {
  const all = neighbours.value?.neighbours ?? [];
  const here = placeOf(instruments.value);
  return (
    <section aria-labelledby="neighbours">
      <h2 id="neighbours">{words.watch.neighbours}</h2>
      {all.length === 0 ? <p>{words.watch.noNeighbours}</p> : null}
      <ul class="lines">
        {all.map((it) => (
          <li key={it.mmsi}>
            <strong>{it.name ?? it.mmsi}</strong> {words.watch.states[it.state] ?? it.state}
            {here === null ? "" : `, ${awayFrom(here, it.at)}`}
            {boatMinute.value === null ? "" : `, ${words.watch.heard(Math.floor((boatMinute.value - Date.parse(it.heard)) / 60_000))}`}
            {it.nearest_at !== null && it.nearest_m !== null ? `, ${words.watch.threat(length(it.nearest_m, "down"), clock(it.nearest_at))}` : ""}
          </li>
        ))}
      </ul>
    </section>
  );
}

function NoWatch() {
  const [stays, setStays] = useState<{ id: string; name: string }[]>([]);
  useEffect(() => {
    get<{ stays: { id: string; name: string }[] }>("/stays").then((it) => setStays(it.stays), () => undefined);
  }, []);
  return (
    <section aria-labelledby="no-watch">
      <h1 id="no-watch" class="verdict" data-says="unknown">
        {words.watch.none}
      </h1>
      <p>{stays.length === 0 ? words.watch.planFirst : words.watch.choose}</p>
      <ul class="cards">
        {stays.map((it) => (
          <li key={it.id}>
            <a class="card" href={to("watch", "take", it.id)}>
              <strong>{it.name}</strong>
            </a>
          </li>
        ))}
      </ul>
      <Neighbours />
    </section>
  );
}

function Take({ id }: { id: string }) {
  const [drop, setDrop] = useState("");
  const [rode, setRode] = useState("");
  const [trouble, setTrouble] = useState<string | null>(null);
  const take = async () => {
    const body = { stay: id, ...(rode.trim() === "" ? {} : { rode: rode.trim() }) };
    try {
      await send("POST", "/watch", body);
      // A place is read by the same words as everywhere: minutes, degrees, hemispheres.
      if (drop.trim() !== "") await say(`dropped ${drop.trim()}`);
      location.hash = to("watch");
    } catch (error) {
      setTrouble(error instanceof Error ? error.message : String(error));
    }
  };
  return (
    <section class="document" aria-labelledby="take">
      <h1 id="take">{words.watch.arm}</h1>
      <div class="fields">
        <label class="field">
          {words.watch.armDrop}
          <input value={drop} placeholder="33°58.200'N 120°58.000'W" onInput={(event) => setDrop(event.currentTarget.value)} />
        </label>
        <label class="field">
          {words.watch.armRode}
          <input value={rode} placeholder={words.watch.rodeHint} onInput={(event) => setRode(event.currentTarget.value)} />
        </label>
      </div>
      {trouble ? (
        <p class="problems" role="alert">
          {trouble}
        </p>
      ) : null}
      <p class="doings">
        <button type="button" onClick={() => void take()}>
          {words.watch.arm}
        </button>
      </p>
    </section>
  );
}
