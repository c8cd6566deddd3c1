// Who has the watch, and this device's part in it: its sound is tried when it is taken.
import { useEffect, useState } from "preact/hooks";
import { get, send } from "../api";
import { me, mine, stands, standing } from "../live";
import type { Watch } from "../shapes";
import { words } from "../words";
import { test, unlock, unlocked } from "./sound";
import { awake, believed, hasWatch, keepAwake, letSleep, mute } from "./this_device";

/** The watch goes to this device: what was offered is taken; what was not it hands to itself, for the one who had it
 * may be in the water. */
async function takeOver(): Promise<void> {
  if (believed.peek()) return;
  if (standing.peek()?.offered_to !== mine.peek()) await send("POST", "/watch/hand", { to: mine.peek() });
  stands(await send<Watch>("POST", "/watch/take", {}));
}

export function ThisDevice() {
  const [trouble, setTrouble] = useState("");
  const who = standing.value?.who ?? null;
  const acts = me.value?.role === "act";
  const offered = standing.value?.offered_to === mine.value && !hasWatch.value;
  const take = async () => {
    setTrouble("");
    try {
      if (!(await unlock())) setTrouble(words.watch.noSound);
      // First it is heard, then it has the watch.
      await test();
      if (acts) await takeOver();
      hasWatch.value = true;
      await keepAwake();
    } catch (error) {
      setTrouble(error instanceof Error ? error.message : String(error));
    }
  };
  const give = async () => {
    hasWatch.value = false;
    letSleep();
    if (believed.peek()) stands(await send<Watch>("POST", "/watch/give_up", {}));
  };
  return (
    <section class="this-device" data-mute={mute.value} aria-label={words.watch.deviceLabel}>
      <p>{hasWatch.value || mute.value ? words.watch.taken : who ? words.watch.who(who.name) : words.watch.nobody}</p>
      {offered ? <p role="alert">{words.watch.offered(who?.name ?? words.name)}</p> : null}
      {mute.value ? <p role="alert">{words.watch.mute}</p> : null}
      <p class="doings">
        {hasWatch.value && unlocked.value ? (
          <>
            <button type="button" onClick={() => void test()}>
              {words.watch.sound}
            </button>
            <button type="button" onClick={() => void give()}>
              {words.watch.give}
            </button>
            {acts ? <HandOver /> : null}
          </>
        ) : (
          <button type="button" onClick={() => void take()}>
            {offered ? words.watch.acceptOffer : mute.value ? words.watch.unmute : acts ? words.watch.take : words.watch.soundHereToo}
          </button>
        )}
      </p>
      <Advice />
      <p aria-live="polite">{trouble}</p>
    </section>
  );
}

/** What the device can do for its owner, and what its owner must do for it. */
function Advice() {
  if (!hasWatch.value) return <p class="quiet">{words.watch.takeHelp}</p>;
  return (
    <p class="quiet">
      {awake.value ? words.watch.awake : words.watch.notAwake}
      {!awake.value && !window.isSecureContext ? ` ${words.watch.secureHelp}` : ""}
      {"vibrate" in navigator ? "" : ` ${words.watch.noVibration}`}
    </p>
  );
}

interface Known {
  id: string;
  name: string;
  this: boolean;
  role: string;
}

function HandOver() {
  const [devices, setDevices] = useState<Known[]>([]);
  useEffect(() => {
    get<{ devices: Known[] }>("/devices").then((it) => setDevices(it.devices), () => undefined);
  }, []);
  const others = devices.filter((it) => !it.this && it.role === "act");
  // The boat's own computer is not in the list of those that were paired.
  const all = mine.value === "here" ? others : [...others, { id: "here", name: words.watch.boatsComputer }];
  return (
    <>
      {all.map((it) => (
        <button type="button" key={it.id} onClick={() => void send("POST", "/watch/hand", { to: it.id })}>
          {standing.value?.offered_to === it.id ? words.watch.handed(it.name) : words.watch.offer(it.name)}
        </button>
      ))}
    </>
  );
}
