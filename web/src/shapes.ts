// The shapes of the API that the page reads: what /api/v1/openapi.json says, as far as it is used here.

export type Role = "none" | "look" | "act";

export interface Me {
  version: 1;
  role: Role;
  device: string | null;
  name: string | null;
  boat_time: string;
  speed: number;
}

export type Word = "holding" | "doubtful" | "dragging" | "blind" | "under_way";

export interface Reason {
  code: string;
  text: string;
}

export interface Alarm {
  alarm: string;
  code: string;
  text: string;
  since: string;
  standing: "ringing" | "acknowledged" | "silenced" | "past";
  until: string | null;
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

export interface Instruments {
  version: 1;
  time: string;
  length_m?: number;
}

export interface Neighbour {
  mmsi: string;
  name: string | null;
  state: "lying" | "dragging" | "adrift" | "under_way" | "cannot_tell";
  lat: number;
  lon: number;
  heading_deg: number | null;
  length_m: number | null;
  distance_m: number | null;
  bearing_deg: number | null;
  moved_m: number | null;
  /** When his path would lead to us. */
  threat_at: string | null;
}

export interface Neighbours {
  version: 1;
  time: string;
  vessels: Neighbour[];
}

export interface Track {
  version: 1;
  points: { time: string; lat: number; lon: number; wind_ms: number | null; depth_m: number | null }[];
}

/** Where she can lie now, about the anchor as it is thought to lie: metres east and north of it. */
export interface Density {
  version: 1;
  where: { share: number; outline: [number, number][] }[];
  circle_m: number | null;
  drop: { lat: number; lon: number } | null;
}

export interface Feed {
  feed: string;
  state: string;
  why?: string;
  bytes: number;
  lines_per_s: number | null;
  age_s: number | null;
  refused: Record<string, number>;
  lost: number;
}

export interface Feeds {
  time?: string;
  feeds: Feed[];
}

export interface Snapshot {
  version: 1;
  time?: string;
  stay: { id: string; name: string } | null;
  view: WatchView | null;
  feeds: Feed[];
  instruments: Instruments | null;
  who: { device: string; name: string; since: string } | null;
  /** Another device hands its watch to this one. */
  offered?: { to: string; name: string } | null;
  expected?: { wind_gust_ms: number | null; proved_gust_ms: number | null } | null;
  next?: { what: string; time: string | null } | null;
}
