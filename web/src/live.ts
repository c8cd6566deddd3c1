// The boat's own voice: one stream of events a tab. What it said last is held here for every room; how long ago it
// spoke is measured by this device's stopwatch, never by its clock.
import { computed, signal } from "@preact/signals";
import { get } from "./api";
import { tellIn } from "./boat_time";
import type { Feed, Instruments, Me, Neighbours, Snapshot, Watch, WatchView } from "./shapes";

/** After so long without a word nothing that is shown is to be believed. The boat says something every 2 s. */
export const STALE_AFTER_MS = 5_000;
/** How often this device looks at its stopwatch. */
const LOOK_MS = 250;
/** A stream that died is opened again after so long. */
const AGAIN_MS = 1_000;

export const me = signal<Me | null>(null);
/** How the watch stands, but for what is told by itself: the view, instruments, neighbours, feeds. */
export const standing = signal<Watch | null>(null);
export const view = signal<WatchView | null>(null);
export const instruments = signal<Instruments | null>(null);
export const neighbours = signal<Neighbours | null>(null);
export const feeds = signal<Feed[]>([]);
/** How many times faster than life the boat's time runs. */
export const speed = signal(1);
/** The boat's time at her last word. */
export const boatTime = signal<string | null>(null);
/** This device as the watch names it. */
export const mine = computed(() => me.value?.device ?? "here");
/** The same to the minute, ms: nothing need be drawn anew at every tick. */
export const boatMinute = computed(() => (boatTime.value === null ? null : Math.floor(Date.parse(boatTime.value) / 60_000) * 60_000));
/** Whether the boat has been silent for too long. */
export const stale = signal(false);
/** For how long she has been silent, s. */
export const silentFor = signal(0);
/** Whether she spoke at all since the page was opened. */
export const heard = computed(() => boatTime.value !== null);

let lastWordAt = performance.now();
let stream: EventSource | null = null;

/** What rooms do when something that they show was changed by another device. */
type Changed = { what: string; id?: string; revision?: number };
const listeners = new Set<(changed: Changed) => void>();
export function onChanged(listener: (changed: Changed) => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function word<T extends { time?: string }>(event: MessageEvent<string>): T {
  const said = JSON.parse(event.data) as T;
  lastWordAt = performance.now();
  stale.value = false;
  silentFor.value = 0;
  if (said.time) boatTime.value = said.time;
  return said;
}

/** The watch stands so. */
export function stands(watch: Watch): void {
  standing.value = watch;
  if (watch.stay) tellIn(watch.stay.zone);
  view.value = watch.view;
  instruments.value = watch.instruments;
  feeds.value = watch.feeds;
}

/** Who has the watch, what is foretold and what comes next are asked for when they change. */
async function again(): Promise<void> {
  await get<Watch>("/watch").then(stands, () => undefined);
}

function open(): void {
  stream?.close();
  stream = new EventSource("/api/v1/live");
  const on = <T extends { time?: string }>(name: string, act: (said: T) => void) =>
    stream?.addEventListener(name, (event) => act(word<T>(event as MessageEvent<string>)));
  on<Snapshot>("snapshot", (said) => {
    speed.value = said.speed;
    stands(said.watch);
  });
  on<WatchView>("watch", (said) => (view.value = said));
  on<{ time: string; instruments: Instruments | null }>("instruments", (said) => (instruments.value = said.instruments));
  on<Neighbours>("neighbours", (said) => (neighbours.value = said));
  on<{ time: string; feeds: Feed[] }>("feeds", (said) => (feeds.value = said.feeds));
  on<Changed & { time?: string }>("changed", (said) => {
    if (said.what === "watch") void again();
    listeners.forEach((it) => it(said));
  });
  on<{ time: string; speed: number }>("tick", (said) => (speed.value = said.speed));
  for (const name of ["ring", "quiet", "escalate", "told", "notice", "track"]) {
    on<{ time?: string }>(name, (said) => dispatchEvent(new CustomEvent(`boat:${name}`, { detail: said })));
  }
  // A browser opens a stream again by itself unless it was refused; then the page asks who it is first.
  stream.onerror = () => {
    if (stream?.readyState === EventSource.CLOSED) setTimeout(start, AGAIN_MS);
  };
}

/** Asks who this device is, and opens the stream if it is one of the boat's. */
export async function start(): Promise<void> {
  try {
    me.value = await get<Me>("/me");
  } catch {
    setTimeout(start, AGAIN_MS);
    return;
  }
  if (me.value.role !== "none") open();
}

setInterval(() => {
  const silent = performance.now() - lastWordAt;
  silentFor.value = Math.floor(silent / 1000);
  if (STALE_AFTER_MS < silent && me.value?.role !== "none") stale.value = true;
}, LOOK_MS);
