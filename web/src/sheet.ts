// The sheet as /api/v1/stays/{id}/sheet tells it (docs/json.md), and what the drawings show beside it.

export type Verdict = "lies_well" | "lies_with_care" | "do_not_lie_here" | "cannot_say";

export interface Loads {
  steady: number;
  gust: number;
  peak: number;
}

export interface Instant {
  time: string;
  tide_m: number | null;
  water_m: number | null;
  under_keel_m: number | null;
  wind_mean_ms: number | null;
  wind_gust_ms: number | null;
  wind_from_deg: number | null;
  stream_ms: number | null;
  stream_towards_deg: number | null;
  sea_height_m: number | null;
  sea_period_s: number | null;
  load_n: Loads | null;
  load_p90_n: Loads | null;
  heading_deg: number | null;
  heading_spread_deg: number | null;
  lies: "wind_rode" | "tide_rode" | "athwart" | "light_air" | null;
  reach_m: number | null;
  uplift_deg: number | null;
  grounded_m: number | null;
  tension_n: number | null;
  hazard: number | null;
  least_room_m: number | null;
  least_room_to: string | null;
  dark: boolean;
}

/** A change of one field of the stay, by its path; null leaves it out. */
export interface Change {
  field: string;
  value: unknown;
}

export interface Remedy {
  text: string;
  changes: Change[];
}

export interface SheetReason {
  code: string;
  calls_for: Verdict;
  text: string;
  time: string | null;
  value: number | null;
  limit: number | null;
  unit: string | null;
  remedy: string | null;
  remedies?: Remedy[];
}

export interface Part {
  name: string;
  kind: "ground" | "connector" | "rode" | "snubber" | "strong_point";
  load_n: number | null;
  may_carry_n: number | null;
  gives_at_n: number | null;
  margin: number | null;
  time: string | null;
  origin: string;
}

export interface Sheet {
  version: 1;
  stay: string;
  boat: string;
  anchor: string;
  anchor_at: { latitude_deg: number; longitude_deg: number };
  from: string;
  to: string;
  verdict: Verdict;
  sentence: string;
  rode_m: number | null;
  marks: string | null;
  veer: {
    length_m: number;
    aboard_m: number;
    origin: string;
    greatest_height_m: number;
    scope: number;
    snubber_m: number | null;
    slack_bight_m: number | null;
  } | null;
  chance_of_dragging: { median: number; p10: number; p90: number; failing_to_set: number | null; worst: string | null } | null;
  weakest: Part | null;
  parts: Part[];
  reasons: SheetReason[];
  limits: Record<string, number>;
  datum: string | null;
  tide_source: string | null;
  wind_source: string | null;
  wind_issued: string | null;
  /** The wind is not the forecast's but one that is tried. */
  wind_tried: { turned_deg: number; times: number } | null;
  proved_gust_ms: number | null;
  band_begins_gust_ms: number | null;
  instants: Instant[];
  turns: { time: string; kind: "high" | "low"; height_m: number }[];
  sun: { time: string; kind: string }[];
  dark: { from: string; to: string }[];
  room: { to: string; least_m: number; time: string; assumed: string[] }[];
  bow_table: { depths_m: number[]; gusts_ms: number[]; rode_m: (number | null)[][]; uplift_allowed_deg: number } | null;
  rules: { rule: string; by_rule_m: number; parts: string | null }[];
  provenance: { what: string; value: string; origin: string; source: string }[];
  reminders: { text: string; rule: string | null; spans: { from: string; to: string }[] }[];
}

/** Metres east and north of the anchor. */
export type Offset = [number, number];

export interface Pictures {
  dangers: { name: string; outline: Offset[]; radius_m: number; least_m: number | null; time: string | null }[];
  neighbours: {
    name: string;
    at: Offset;
    anchor: Offset | null;
    length_m: number;
    circle_m: number | null;
    least_m: number | null;
    time: string | null;
    assumed: string[];
  }[];
  lie: { share: number; reach_low_m: number; reach_high_m: number }[];
  hull: { length_m: number; beam_m: number; draught_m: number };
}

export interface Moment {
  time: string;
  water_m: number | null;
  height_m: number | null;
  lowest_m: number | null;
  highest_m: number | null;
  ground_slope_deg: number;
  rode: {
    points: [number, number][];
    marks: { at_m: number; x_m: number; z_m: number; looks: string }[];
    snubber_from: [number, number] | null;
    load_n: number;
    uplift_deg: number;
    grounded_m: number;
  } | null;
  hull: { bow: Offset; heading_deg: number; outline: Offset[] } | null;
  where: { share: number; outline: Offset[] }[];
  figures: Instant | null;
}

export interface Tried {
  version: 1;
  /** Remedies that take a search are left out. */
  quick: boolean;
  sheet: Sheet;
  pictures: Pictures;
  moment: Moment | null;
}

export interface Stay {
  version: 1;
  id: string;
  name: string;
  revision: number;
  text: string;
  form: Record<string, unknown> | null;
}
