// The watch on this device: whether it has it, its sound, its screen kept on.
import { computed, effect, signal } from "@preact/signals";
import { me, mine, stale, standing, view } from "../live";
import { sound, unlocked } from "./sound";

/** Whether this device was told, since this page was opened, to wake its owner. */
export const hasWatch = signal(false);
/** Whether its screen stays on; null while that is not known. */
export const awake = signal<boolean | null>(null);

/** Whether the boat believes that this device has the watch. */
export const believed = computed(() => standing.value?.who?.device === mine.value);
/** It is believed to wake somebody, and would not: the page was opened anew, or the browser took its sound away. The
 * boat's own computer rings without a page. */
export const mute = computed(() => (hasWatch.value ? !unlocked.value : believed.value && mine.value !== "here"));

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
});

// Another device took it over. One that may only look sounds for its owner beside whoever has it.
effect(() => {
  const who = standing.value?.who;
  if (hasWatch.value && me.value?.role === "act" && who && who.device !== mine.value) {
    hasWatch.value = false;
    letSleep();
  }
});

// A watch that is over wakes nobody.
effect(() => {
  if (hasWatch.value && standing.value !== null && standing.value.stay === null) {
    hasWatch.value = false;
    letSleep();
  }
});
