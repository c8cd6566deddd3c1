// The watch on this device: whether it has it, its sound, its screen kept on.
import { effect, signal } from "@preact/signals";
import { me, silentFor, stale, standing, view } from "../live";
import { sound, unlocked } from "./sound";

/** Whether this device was told to wake its owner. */
export const hasWatch = signal(false);
/** Whether its screen stays on; null while that is not known. */
export const awake = signal<boolean | null>(null);

let lock: WakeLockSentinel | null = null;

export async function keepAwake(): Promise<void> {
  if (!("wakeLock" in navigator)) {
    awake.value = false;
    return;
  }
  try {
    lock = await navigator.wakeLock.request("screen");
    awake.value = true;
    lock.addEventListener("release", () => (awake.value = false));
  } catch {
    awake.value = false;
  }
}

export function letSleep(): void {
  void lock?.release();
  lock = null;
  awake.value = null;
}

document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible" && hasWatch.value) void keepAwake();
});

// What rings on the boat rings here, if this device has the watch; a boat that has fallen silent rings too.
effect(() => {
  const rings = view.value?.alarms.some((it) => it.standing === "ringing") ?? false;
  if (!hasWatch.value || !unlocked.value) sound("nothing");
  else if (stale.value) sound("stale");
  else sound(rings ? "alarm" : "nothing");
  void silentFor.value;
});

// Another device took it over.
effect(() => {
  const who = standing.value?.who;
  if (hasWatch.value && who && me.value?.device && who.device !== me.value.device) {
    hasWatch.value = false;
    letSleep();
  }
});
