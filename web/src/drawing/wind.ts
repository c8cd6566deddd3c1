// The wind's arrow: it flies from the rim into the drawing, the longer the stronger; its point can be taken hold of.
import type { Moment, Sheet } from "../sheet";
import { path } from "./scale";

export interface Wind {
  from_deg: number;
  mean_ms: number;
}

/** How many times as strong as forecast a wind may be tried here; the boat's computer takes more. */
export const TIMES = { least: 0.25, most: 3 };

/** What is asked of the wind: what the finger wants, before the boat's computer has answered. */
export interface WindGrip {
  turned_deg: number;
  times: number;
  tried: boolean;
  /** The point was dragged to here, from the middle of the drawing. */
  onDrag: (to: [right: number, down: number], size: number, done: boolean) => void;
  /** Turned by so many degrees, made so much stronger. */
  onStep: (turn_deg: number, more: number) => void;
  onBack: () => void;
}

/** The wind of the moment, as it is shown. */
export function stands(moment: Moment | null): Wind | null {
  const figures = moment?.figures;
  return figures && figures.wind_from_deg !== null && figures.wind_mean_ms !== null ? { from_deg: figures.wind_from_deg, mean_ms: figures.wind_mean_ms } : null;
}

/** The wind of the moment as it was forecast. */
export function forecast(sheet: Sheet, moment: Moment | null): Wind | null {
  const now = stands(moment);
  const tried = sheet.wind_tried;
  return now && tried ? { from_deg: now.from_deg - tried.turned_deg, mean_ms: now.mean_ms / tried.times } : now;
}

/** The same as it is asked for. */
export function asked(sheet: Sheet, moment: Moment | null, grip: { turned_deg: number; times: number }): Wind | null {
  const of = forecast(sheet, moment);
  return of && { from_deg: ((of.from_deg + grip.turned_deg) % 360 + 360) % 360, mean_ms: of.mean_ms * grip.times };
}

/** From the rim, px. */
const RIM = 14;
/** The shortest arrow that is seen to be one, px. */
const SHORTEST = 26;
/** The longest, as a share of the way to the middle: what lies there is left to be seen. */
const LONGEST = 0.62;
/** A wind of this speed has the longest arrow: force 10. */
const LONGEST_MS = 25;

const perMs = (size: number): number => ((size / 2 - RIM) * LONGEST - SHORTEST) / LONGEST_MS;

export function arrow({ from_deg, mean_ms }: Wind, size: number) {
  const angle = (from_deg * Math.PI) / 180;
  const [sin, cos] = [Math.sin(angle), Math.cos(angle)];
  const long = SHORTEST + Math.min(LONGEST_MS, mean_ms) * perMs(size);
  const far = size / 2 - RIM;
  const along = (from: number, aside: number): [number, number] => [size / 2 + sin * (far - from) + cos * aside, size / 2 - cos * (far - from) + sin * aside];
  const feathers = [0, 8].map((at) => path([along(at, 0), along(at - 6, 7)]));
  const d = path([along(0, 0), along(long, 0)]) + path([along(long - 11, -6), along(long, 0), along(long - 11, 6)]) + feathers.join("");
  return { d, from: along(0, 0), to: along(long, 0) };
}

/** How the wind is turned, and how many times as strong it is, when the arrow's point is at a place. */
export function dragged([right, down]: [number, number], size: number, of: Wind): { turned_deg: number; times: number } {
  const from = (Math.atan2(right, -down) * 180) / Math.PI;
  const turned = ((from - of.from_deg + 540) % 360 + 360) % 360 - 180;
  const mean_ms = Math.max(0, (size / 2 - RIM - Math.hypot(right, down) - SHORTEST) / perMs(size));
  const times = 0 < of.mean_ms ? mean_ms / of.mean_ms : 1;
  return { turned_deg: Math.round(turned), times: within(times) };
}

/** To the twentieth, and within what is tried here. */
export function within(times: number): number {
  return Math.min(TIMES.most, Math.max(TIMES.least, Math.round(times * 100) / 100));
}
