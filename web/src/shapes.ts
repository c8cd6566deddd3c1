// The shapes of the API that the page reads: what /api/v1/openapi.json says, as far as it is used here.

export type Role = "none" | "look" | "act";

export interface Me {
  version: 1;
  role: Role;
  device: string | null;
  name: string | null;
  boat_time: string;
  program: string;
  speed: number;
  demo: boolean;
}

export type Word = "holding" | "doubtful" | "dragging" | "blind" | "under_way";

export interface Reason {
  code: string;
  text: string;
}

/** Who said something to the watch. */
export interface Speaker {
  device: string;
  name: string;
}

export interface Alarm {
  alarm: string;
  code: string;
  text: string;
  since: string;
  standing: "ringing" | "acknowledged" | "silenced" | "past";
  until: string | null;
  /** The crew's last word about it, while it is heard or still. */
  said: { word: "acknowledge" | "silence" | "clear"; by: Speaker; time: string } | null;
}

export interface WatchView {
  version: 1;
  time: string;
  verdict: Word;
  since: string;
  reasons: Reason[];
  anchor: { lat: number; lon: number; sigma_m: number } | null;
  moved_m: number | null;
  moved: { distance_m: number; sigma_m: number; toward_deg: number | null; since: string | null; speed_ms: number | null } | null;
  backstop: boolean;
  alarms: Alarm[];
  here: {
    time: string;
    lat: number;
    lon: number;
    at_bow: boolean;
    heading_deg: number | null;
    wind_ms: number | null;
    wind_from_deg: number | null;
    depth_m: number | null;
  } | null;
}

/** The last of each kind that was heard. */
export interface Instruments {
  fix?: Heard & { lat: number; lon: number };
  way?: Heard & { speed_ms: number; course_deg: number | null };
  heading?: Heard & { deg: number };
  water?: Heard & { depth_m: number };
  wind?: Heard & { speed_ms: number; from_deg: number | null };
  battery?: Heard & { volts: number };
  engine?: Heard & { rpm: number };
  rode?: Heard & { out_m: number };
}

export interface Heard {
  source: number;
  age_s: number;
}

/** Latitude and longitude, degrees. */
export type Place = [lat: number, lon: number];

export interface Neighbour {
  mmsi: number;
  name: string | null;
  state: "lying" | "dragging" | "adrift" | "under_way" | "cannot_tell";
  since: string;
  reasons: string[];
  at: Place;
  heard: string;
  anchor: Place | null;
  anchor_sigma_m: number | null;
  moved_m: number | null;
  /** How near he would come, and when, if he goes on. */
  nearest_m: number | null;
  nearest_at: string | null;
}

export interface Neighbours {
  time?: string;
  neighbours: Neighbour[] | null;
  density?: Density | null;
}

/** Whence the vessels near by came: places by their number, oldest first. */
export type Wakes = Record<string, Place[]>;

/** A piece of what was measured: when it begins; the least, the mean and the greatest in it. */
export type Piece = [time: string, least: number, mean: number, greatest: number];

export interface Hours {
  version: 1;
  every_s: number;
  water_m: Piece[];
  wind_ms: Piece[];
  battery_v: Piece[];
}

/** What rang, and what the crew said: the last first. */
export interface Log {
  version: 1;
  alarms: { time: string; alarm: string; change: "ring" | "quiet" | "escalate"; text: string }[];
  words: { time: string; line: string; answer: string; by: Speaker }[];
}

export interface Track {
  version: 1;
  points: [time: string, lat: number, lon: number][];
}

/** Where she can lie now, about the anchor as it is thought to lie: metres east and north of it. */
export interface Density {
  anchor: Place;
  ellipse: { long_m: number; short_m: number; along_deg: number };
  within: { share: number; outline: [number, number][] }[];
  circle_m: number;
}

export interface Feed {
  feed: string;
  state: "opening" | "open" | "lost" | "finished";
  why: string | null;
  bytes: number;
  lines_per_s: number;
  age_s: number | null;
  refused: Record<string, number>;
  lost: number;
}

export interface ForetoldStep {
  time: string;
  water_m: number | null;
  wind_mean_ms: number | null;
  wind_gust_ms: number | null;
  wind_from_deg: number | null;
}

/** How the watch stands: GET /watch, and within a snapshot. */
export interface Watch {
  version: 1;
  time: string;
  stay: { id: string; watch: string; name: string; zone: string | null } | null;
  view: WatchView | null;
  feeds: Feed[];
  instruments: Instruments;
  who: { device: string; name: string; since: string } | null;
  /** The device that is offered the watch. */
  offered_to: string | null;
  expected: { proved_wind_ms: number | null; proved_load_n: number | null; steps: ForetoldStep[] } | null;
  next: { code: "wind_over_proved" | "wind_shift" | "low_water" | "forecast_ends"; time: string; value: number | null } | null;
}

export interface Snapshot {
  version: 1;
  time: string;
  speed: number;
  watch: Watch;
}
