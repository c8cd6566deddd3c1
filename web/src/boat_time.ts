// The boat's time by the boat's clock and zone. This device's own clock is never shown: it may be wrong.
import { signal } from "@preact/signals";

/** The zone that the stay's times are told in. */
export const zone = signal("UTC");

/** What is said beside a time that is told in no clock of the crew's. */
export const ofZone = (): string => (zone.value === "UTC" ? " UTC" : "");

/** The zone of the crew's clock; what this browser does not know is told in UTC, which it says. */
export function tellIn(name: string | null): void {
  try {
    new Intl.DateTimeFormat("en", { timeZone: name ?? "UTC" });
    zone.value = name ?? "UTC";
  } catch {
    zone.value = "UTC";
  }
}

/** Formats are dear to make, and the same few are asked for at every word. */
const made = new Map<string, Intl.DateTimeFormat>();

function format(kind: "clock" | "day"): Intl.DateTimeFormat {
  const key = `${kind} ${zone.value}`;
  let found = made.get(key);
  if (!found) {
    const parts: Intl.DateTimeFormatOptions =
      kind === "clock" ? { hour: "2-digit", minute: "2-digit" } : { weekday: "short", day: "numeric", month: "short" };
    found = new Intl.DateTimeFormat("en-GB", { ...parts, timeZone: zone.value });
    made.set(key, found);
  }
  return found;
}

export const clock = (time: string): string => format("clock").format(new Date(time));

export const day = (time: string): string => format("day").format(new Date(time));
