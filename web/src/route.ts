// Where the crew are in the page, kept in the fragment so that "back" and a bookmark work without the server.
import { signal } from "@preact/signals";

export type Room = "stays" | "watch" | "aboard";

export interface Route {
  room: Room;
  /** What is named in the room: a stay, a vessel. */
  rest: string[];
}

const ROOMS: readonly Room[] = ["stays", "watch", "aboard"];

export function read(fragment: string): Route {
  const [first = "", ...rest] = fragment.replace(/^#\/?/, "").split("/").map(decodeURIComponent);
  const room = ROOMS.find((it) => it === first) ?? "stays";
  return { room, rest: rest.filter((it) => it !== "") };
}

export function to(room: Room, ...rest: string[]): string {
  return `#/${[room, ...rest].map(encodeURIComponent).join("/")}`;
}

export const route = signal<Route>(read(location.hash));

addEventListener("hashchange", () => {
  route.value = read(location.hash);
  scrollTo(0, 0);
});
