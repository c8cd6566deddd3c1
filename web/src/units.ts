// Figures in the crew's units. What is rounded is rounded to the side that flatters nobody: water and room down, wind
// and load up.
import { computed, signal } from "@preact/signals";
import { keep, kept } from "./device";

export interface CrewUnits {
  length: "metres" | "feet" | "fathoms";
  speed: "knots" | "metres per second";
  force: "decanewtons" | "kilonewtons" | "pounds";
}

/** What there is to choose from, as the vessel's file calls it. */
export const UNITS: { [kind in keyof CrewUnits]: readonly CrewUnits[kind][] } = {
  length: ["metres", "feet", "fathoms"],
  speed: ["knots", "metres per second"],
  force: ["decanewtons", "kilonewtons", "pounds"],
};
const KINDS = ["length", "speed", "force"] as const;

/** What is not told stays; what is told and is no unit counts as not told. */
function told(of: unknown, before: CrewUnits): CrewUnits {
  const given = (of ?? {}) as Partial<Record<keyof CrewUnits, unknown>>;
  const one = <K extends keyof CrewUnits>(kind: K): CrewUnits[K] => UNITS[kind].find((it) => it === given[kind]) ?? before[kind];
  return { length: one("length"), speed: one("speed"), force: one("force") };
}

const USUAL: CrewUnits = { length: "metres", speed: "knots", force: "decanewtons" };

/** The vessel's own, as her file has them. */
export const vessels = signal<CrewUnits>(USUAL);

export const takeVessels = (form: unknown): void => {
  vessels.value = told(form, USUAL);
};

/** What was chosen on this device; what was not is as the vessel has it. */
export const chosen = signal<Partial<CrewUnits>>(
  Object.fromEntries(KINDS.flatMap((kind) => (kept(`units.${kind}`) === null ? [] : [[kind, kept(`units.${kind}`)]]))),
);

export function choose(kind: keyof CrewUnits, unit: string | null): void {
  keep(`units.${kind}`, unit);
  const { [kind]: _, ...rest } = chosen.value;
  chosen.value = unit === null ? rest : { ...rest, [kind]: unit };
}

/** What this device reads. */
export const crew = computed<CrewUnits>(() => told(chosen.value, vessels.value));

/** The same in a request's address. */
export const unitsAsked = (): string => new URLSearchParams({ ...crew.value }).toString();

type Side = "down" | "up" | "near";

const FOOT_M = 0.3048;
const KNOT_MS = 1852 / 3600;
const POUND_N = 4.4482216152605;

/** A figure whose last digit stands at 10^-digits, rounded to the side that is asked for. */
export function rounded(value: number, digits: number, side: Side): string {
  const scale = 10 ** digits;
  // A figure that is exact but for the last bits of its arithmetic must not be moved by a whole digit.
  const whole = value * scale;
  const settled = Math.abs(whole - Math.round(whole)) < 1e-9 ? Math.round(whole) : whole;
  const at = side === "down" ? Math.floor(settled) : side === "up" ? Math.ceil(settled) : Math.round(settled);
  const text = (at / scale).toFixed(digits);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "−");
}

/** A length as a number in the crew's unit, for axes. */
export function lengthIn(m: number): number {
  return m / { metres: 1, feet: FOOT_M, fathoms: 6 * FOOT_M }[crew.value.length];
}

export const lengthUnit = (): string => ({ metres: "m", feet: "ft", fathoms: "fm" })[crew.value.length];

export function length(m: number | null, side: Side = "near"): string {
  if (m === null) return "unknown";
  const value = lengthIn(m);
  const digits = crew.value.length === "feet" || 100 <= Math.abs(value) ? 0 : 1;
  return `${rounded(value, digits, side)} ${lengthUnit()}`;
}

/** A length of rode: whole metres are what chain is marked in. */
export function rode(m: number | null): string {
  if (m === null) return "unknown";
  const value = lengthIn(m);
  return `${rounded(value, crew.value.length === "fathoms" ? 1 : 0, "near")} ${lengthUnit()}`;
}

export function speedIn(ms: number): number {
  return crew.value.speed === "knots" ? ms / KNOT_MS : ms;
}

export const speedUnit = (): string => (crew.value.speed === "knots" ? "kn" : "m/s");

export function speed(ms: number | null, side: Side = "up"): string {
  if (ms === null) return "unknown";
  return `${rounded(speedIn(ms), 0, side)} ${speedUnit()}`;
}

export function force(n: number | null, side: Side = "up"): string {
  if (n === null) return "unknown";
  switch (crew.value.force) {
    case "decanewtons":
      return `${rounded(n / 10, 0, side)} daN`;
    case "kilonewtons":
      return `${rounded(n / 1000, 1, side)} kN`;
    case "pounds":
      return `${rounded(n / POUND_N, 0, side)} lbf`;
  }
}

export function bearing(deg: number | null): string {
  if (deg === null) return "unknown";
  return `${String(Math.round(((deg % 360) + 360) % 360) % 360).padStart(3, "0")}°`;
}

/** A chance as people weigh it: one in so many, never better than it is. */
export function chance(p: number | null): string {
  if (p === null) return "unknown";
  if (!(0 < p)) return "less than 1 in 1 000 000";
  if (0.5 <= p) return `${rounded(p * 100, 0, "up")} in 100`;
  if (p < 1e-6) return "less than 1 in 1 000 000";
  const odds = Math.floor(1 / p);
  const digits = Math.max(0, Math.floor(Math.log10(odds)) - 1);
  const floor = Math.floor(odds / 10 ** digits) * 10 ** digits;
  return `1 in ${floor.toLocaleString("en-GB").replaceAll(",", " ")}`;
}

export function span(seconds: number): string {
  if (seconds < 90) return `${Math.round(seconds)} s`;
  const minutes = Math.floor(seconds / 60);
  if (minutes < 90) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")} min`;
}

/** Words of the boat's computer in which lengths and speeds stand in metres, in the crew's units: the nearest, as they are told. */
export function retold(text: string): string {
  return text.replace(/(\d+(?:\.\d+)?) (m|kn)(?![\w²³/·])/g, (_, figure: string, unit: string) => {
    const value = Number(figure);
    if (unit === "kn") return crew.value.speed === "knots" ? `${figure} kn` : speed(value * KNOT_MS, "near");
    return crew.value.length === "metres" ? `${figure} m` : length(value, "near");
  });
}

type Kind = keyof CrewUnits;
const SAID: Record<string, [Kind, number]> = { m: ["length", 1], kn: ["speed", KNOT_MS], daN: ["force", 10], kN: ["force", 1000] };

/** What a field's example measures; nothing where it is not one of the crew's units. */
function measure(hint: string | undefined): { kind: Kind; value: number } | null {
  const [, figure, unit = ""] = /^(-?\d+(?:\.\d+)?) (\w+)$/.exec(hint ?? "") ?? [];
  const of = SAID[unit];
  return of && figure !== undefined ? { kind: of[0], value: Number(figure) * of[1] } : null;
}

const SIGN = { metres: "m", feet: "ft", fathoms: "fm", knots: "kn", "metres per second": "m/s", decanewtons: "daN", kilonewtons: "kN", pounds: "lbf" } as const;
const IN_SI = { metres: 1, feet: FOOT_M, fathoms: 6 * FOOT_M, knots: KNOT_MS, "metres per second": 1, decanewtons: 10, kilonewtons: 1000, pounds: POUND_N } as const;

/** The sign of the unit that a bare number has in a field with such an example. */
export function unitOf(hint: string | undefined): string | null {
  const of = measure(hint);
  return of && SIGN[crew.value[of.kind]];
}

/** An example as the crew would write it: two figures are enough for one. */
export function example(hint: string | undefined): string {
  const of = measure(hint);
  if (!of || hint === undefined) return hint ?? "";
  const unit = crew.value[of.kind];
  if (hint.endsWith(` ${SIGN[unit]}`)) return hint;
  const value = of.value / IN_SI[unit];
  return `${Number(value.toPrecision(2))} ${SIGN[unit]}`;
}
