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

export function clock(time: string): string {
  return new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: zone.value }).format(new Date(time));
}

export function day(time: string): string {
  return new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short", timeZone: zone.value }).format(new Date(time));
}
