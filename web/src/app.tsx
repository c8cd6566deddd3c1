import { clock } from "./boat_time";
import { light, LIGHTS } from "./light";
import { boatTime, me, silentFor, snapshot, stale } from "./live";
import { route, to, type Room } from "./route";
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
      <main class="room">{me.value === null ? <p class="quiet">{words.asking}</p> : null}</main>
      <Veil />
    </div>
  );
}

function Head() {
  const next = LIGHTS[(LIGHTS.indexOf(light.value) + 1) % LIGHTS.length] ?? "day";
  return (
    <header class="head">
      <span class="boat">{snapshot.value?.stay?.name ?? words.name}</span>
      <span class="time">{boatTime.value === null ? "" : words.boatTime(clock(boatTime.value))}</span>
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
