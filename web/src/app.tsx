import { effect } from "@preact/signals";
import { Aboard, EditVessel } from "./aboard/aboard";
import { Pair } from "./aboard/pair";
import { readVessel } from "./aboard/units";
import { clock, ofZone } from "./boat_time";
import { light, LIGHTS } from "./light";
import { boatTime, me, onChanged, silentFor, speed, stale, standing } from "./live";
import { route, to, type Room } from "./route";
import { EditStay } from "./stays/edit";
import { Stays } from "./stays/list";
import { StayRoom } from "./stays/stay";
import { WatchRoom } from "./watch/watch";
import { words } from "./words";

const ROOMS: readonly Room[] = ["stays", "watch", "aboard"];

export function App() {
  return (
    <div class="shell">
      <Head />
      <nav class="rooms" aria-label={words.roomsLabel}>
        {ROOMS.map((room) => (
          <a key={room} href={to(room)} aria-current={route.value.room === room ? "page" : undefined}>
            {words.rooms[room]}
          </a>
        ))}
      </nav>
      <main class="room">
        <Opened />
      </main>
      <Veil />
    </div>
  );
}

/** The vessel's units are read when this device is known, and again when she is written anew. */
effect(() => {
  if (me.value !== null && me.value.role !== "none") void readVessel();
});
onChanged((it) => {
  if (it.what === "vessel") void readVessel();
});

function Opened() {
  if (me.value === null) return <p class="quiet">{words.asking}</p>;
  if (me.value.role === "none") return <Pair />;
  const { room, rest } = route.value;
  const [first, second] = rest;
  switch (room) {
    case "watch":
      return <WatchRoom />;
    case "aboard":
      return first === "vessel" && second !== undefined ? <EditVessel key={second} id={second === "new" ? null : second} /> : <Aboard />;
    case "stays":
      if (first === undefined) return <Stays />;
      if (first === "new") return <EditStay id={null} />;
      return second === "edit" ? <EditStay key={first} id={first} /> : <StayRoom key={first} id={first} />;
  }
}

function Head() {
  const next = LIGHTS[(LIGHTS.indexOf(light.value) + 1) % LIGHTS.length] ?? "day";
  return (
    <header class="head">
      <span class="boat">{standing.value?.stay?.name ?? words.name}</span>
      <span class="time">{boatTime.value === null ? "" : words.boatTime(`${clock(boatTime.value)}${ofZone()}`)}
        {speed.value === 1 ? null : <small class="quiet"> {words.faster(speed.value)}</small>}</span>
      <button type="button" onClick={() => (light.value = next)} aria-label={`${words.light}: ${words.lights[light.value]}`}>
        {words.lights[light.value]}
      </button>
    </header>
  );
}

function Veil() {
  if (!stale.value) return null;
  const last = boatTime.value;
  return (
    <div class="veil" role="alert">
      <div>
        <strong>{words.stale.word}</strong>
        <p>{last === null ? words.stale.never(silentFor.value) : words.stale.since(clock(last), silentFor.value)}</p>
        <p>{words.stale.mend}</p>
      </div>
    </div>
  );
}
