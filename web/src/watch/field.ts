// Places about the anchor: metres east and north of it, on the plane that touches the earth there. Over the few hundred
// metres that are drawn it is true to a centimetre (WGS 84 radii of curvature).
import type { Offset } from "../sheet";

const A_M = 6_378_137;
const E2 = 0.006_694_379_990_14;

export function offset(from: { lat: number; lon: number }, to: { lat: number; lon: number }): Offset {
  const latitude = (from.lat * Math.PI) / 180;
  const w = Math.sqrt(1 - E2 * Math.sin(latitude) ** 2);
  const north = ((to.lat - from.lat) * Math.PI * A_M * (1 - E2)) / (180 * w ** 3);
  let lon = to.lon - from.lon;
  if (180 < lon) lon -= 360;
  if (lon < -180) lon += 360;
  return [(lon * Math.PI * A_M * Math.cos(latitude)) / (180 * w), north];
}

/** The place so many metres east and north of another. */
export function placeAt(from: { lat: number; lon: number }, [east, north]: Offset): [lat: number, lon: number] {
  const latitude = (from.lat * Math.PI) / 180;
  const w = Math.sqrt(1 - E2 * Math.sin(latitude) ** 2);
  const lat = from.lat + ((north * 180) / Math.PI) * (w ** 3 / (A_M * (1 - E2)));
  const lon = from.lon + ((east * 180) / Math.PI) * (w / (A_M * Math.cos(latitude)));
  return [lat, ((lon + 540) % 360) - 180];
}

/** A place as the API tells it. */
export const at = ([lat, lon]: [number, number]) => ({ lat, lon });

export function far([east, north]: Offset): number {
  return Math.hypot(east, north);
}

export function bearingOf([east, north]: Offset): number {
  return ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
}
