// The light that the page is read in: by day, in full sun, by night. Each device has its own.
import { effect, signal } from "@preact/signals";
import { kept, keep } from "./device";

export type Light = "day" | "sun" | "night";
export const LIGHTS: readonly Light[] = ["day", "sun", "night"];

const told = kept("light");
export const light = signal<Light>(LIGHTS.find((it) => it === told) ?? "day");
/** How much of the light is left, 0.25 to 1. */
export const dimmer = signal<number>(Math.min(1, Math.max(0.25, Number(kept("dimmer") ?? 1) || 1)));

effect(() => {
  document.documentElement.dataset.light = light.value;
  document.documentElement.style.setProperty("--dim", String(dimmer.value));
  keep("light", light.value);
  keep("dimmer", String(dimmer.value));
});
