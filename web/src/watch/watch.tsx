import { useEffect, useState } from "preact/hooks";
import { get, send } from "../api";
import { clock, day } from "../boat_time";
import { instruments, me, neighbours, standing, view } from "../live";
import { route, to } from "../route";
import type { Instruments, Place, WatchView, Word } from "../shapes";
import { bearing, length, speed } from "../units";
import { words } from "../words";
import { Alarms, say } from "./alarms";
import { Evidence, useTrack } from "./evidence";
import { at, bearingOf, far, offset } from "./field";
import { Hours } from "./hours";
import { test, unlock } from "./sound";
import { awake, hasWatch, keepAwake, letSleep } from "./this_device";

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
    <article class="watch" aria-labelledby="word">
      <Head said={said} />
      <ThisDevice />
      <Alarms />
      <div class="evidence">
        <Evidence track={track} />
        <div>
          <Now said={said} />
          <Hours />
          <Neighbours />
        </div>
      </div>
      {me.value?.role === "act" ? <Tell /> : null}
    </article>
  );
}

function Head({ said }: { said: WatchView }) {
  const moved = said.moved;
  const next = standing.value?.next;
  return (
    <header class="watch-head">
      <h1 id="word" class="verdict huge" data-says={SAYS[said.verdict]} aria-live="assertive">
        {words.watch.words[said.verdict]}
      </h1>
      <p class="quiet">{words.watch.since(`${day(said.since)} ${clock(said.since)}`)}</p>
      <ul class="why">
        {said.reasons.map((it) => (
          <li key={it.code}>{it.text}</li>
        ))}
        {said.backstop ? <li>{words.watch.outside}</li> : null}
      </ul>
      {moved ? (
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

/** Who has the watch, and this device's part in it: its sound is tried when it is taken. */
function ThisDevice() {
  const who = standing.value?.who;
  const mine = me.value?.device ?? "here";
  const offered = standing.value?.offered_to === mine && !hasWatch.value;
  const take = async () => {
    await unlock();
    await test();
    await keepAwake();
    await send("POST", "/watch/take", {}).catch(() => undefined);
    hasWatch.value = true;
  };
  const give = () => {
    hasWatch.value = false;
    letSleep();
  };
  return (
    <section class="this-device" aria-label={words.watch.take}>
      <p>{hasWatch.value ? words.watch.taken : who ? words.watch.who(who.name) : words.watch.nobody}</p>
      {offered ? <p role="alert">{words.watch.offered(who?.name ?? words.name)}</p> : null}
      <p class="doings">
        {hasWatch.value ? (
          <>
            <button type="button" onClick={() => void test()}>
              {words.watch.sound}
            </button>
            <button type="button" onClick={give}>
              {words.watch.give}
            </button>
            <HandOver />
          </>
        ) : (
          <button type="button" onClick={() => void take()}>
            {offered ? words.watch.acceptOffer : words.watch.take}
          </button>
        )}
      </p>
      {hasWatch.value ? <p class="quiet">{awake.value ? words.watch.awake : words.watch.notAwake}</p> : <p class="quiet">{words.watch.takeHelp}</p>}
    </section>
  );
}

function HandOver() {
  const [devices, setDevices] = useState<{ id: string; name: string; this: boolean }[]>([]);
  useEffect(() => {
    get<{ devices: { id: string; name: string; this: boolean }[] }>("/devices").then((it) => setDevices(it.devices), () => undefined);
  }, []);
  return (
    <>
      {devices
        .filter((it) => !it.this)
        .map((it) => (
          <button type="button" key={it.id} onClick={() => void send("POST", "/watch/hand", { to: it.id })}>
            {words.watch.offer(it.name)}
          </button>
        ))}
    </>
  );
}

function Now({ said }: { said: WatchView }) {
  const here = said.here;
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
            {it.nearest_at !== null && it.nearest_m !== null ? `, ${words.watch.threat(length(it.nearest_m, "down"), clock(it.nearest_at))}` : ""}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Tell() {
  const [answer, setAnswer] = useState("");
  const [rode, setRode] = useState("");
  const [place, setPlace] = useState("");
  const [ending, setEnding] = useState(false);
  const tell = (line: string) => void say(line).then(setAnswer, (error: Error) => setAnswer(error.message));
  return (
    <section aria-labelledby="tell">
      <h2 id="tell">{words.watch.tell}</h2>
      <div class="fields">
        <label class="field">
          {words.watch.rodeOut}
          <input value={rode} placeholder={words.watch.rodeHint} onInput={(event) => setRode(event.currentTarget.value)} />
        </label>
        <button type="button" disabled={rode.trim() === ""} onClick={() => tell(`veered ${rode}`)}>
          {words.watch.said}
        </button>
        <label class="field">
          {words.watch.dropAt}
          <input value={place} placeholder="33°58.200'N 120°58.000'W" onInput={(event) => setPlace(event.currentTarget.value)} />
        </label>
        <button type="button" disabled={place.trim() === ""} onClick={() => tell(`dropped ${place}`)}>
          {words.watch.said}
        </button>
      </div>
      <p class="doings">
        <button type="button" onClick={() => tell("dropped here")}>
          {words.watch.dropHere}
        </button>
        <button type="button" onClick={() => tell("engine on")}>
          {words.watch.engineOn}
        </button>
        <button type="button" onClick={() => tell("engine off")}>
          {words.watch.engineOff}
        </button>
        <button type="button" onClick={() => tell("aweigh")}>
          {words.watch.aweigh}
        </button>
        <button type="button" onClick={() => (ending ? tell("end") : setEnding(true))}>
          {ending ? words.watch.endSure : words.watch.end}
        </button>
      </p>
      <p aria-live="polite">{answer}</p>
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
