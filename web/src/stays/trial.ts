// A stay on the table: what is kept, what is tried on it, and the moment that is looked at. Nothing that is tried is
// kept until the crew say so.
import { signal } from "@preact/signals";
import { get, send, Refused, type Problem } from "../api";
import { readVessel } from "../aboard/units";
import { zone } from "../boat_time";
import { latest } from "../parts/latest";
import { crew } from "../units";
import { at } from "../parts/paths";
import type { Change, Moment, Offset, Stay, Tried } from "../sheet";

/** A wind that is another than the forecast's. */
export interface TriedWind {
  turned_deg: number;
  times: number;
}

export interface Tries {
  changes: Change[];
  drop_moved_m: Offset | null;
  wind: TriedWind | null;
}

export const NOTHING: Tries = { changes: [], drop_moved_m: null, wind: null };
export const AS_FORECAST: TriedWind = { turned_deg: 0, times: 1 };

/** What a stay can be made of: a wind cannot. */
export const isKeepable = (tries: Tries): boolean => 0 < tries.changes.length || tries.drop_moved_m !== null;
export const isNothing = (tries: Tries): boolean => !isKeepable(tries) && tries.wind === null;

/** The same tries with another wind; the forecast's own is none. */
export function withWind(tries: Tries, { turned_deg, times }: TriedWind): Tries {
  return { ...tries, wind: turned_deg === 0 && times === 1 ? null : { turned_deg, times } };
}

/** What of them is to be sent: nothing that was not tried. */
function told({ changes, drop_moved_m, wind }: Tries): object {
  return {
    ...(changes.length === 0 ? {} : { changes }),
    ...(drop_moved_m === null ? {} : { drop_moved_m }),
    ...(wind === null ? {} : { wind_turned_deg: wind.turned_deg, wind_times: wind.times }),
  };
}

/** A finger that rests for so long has settled on something. */
const RESTS_MS = 250;

/** The changes with one more: a field that is changed twice has its last value. */
export function changed(tries: Tries, ...changes: Change[]): Tries {
  const fields = new Set(changes.map((it) => it.field));
  return { ...tries, changes: [...tries.changes.filter((it) => !fields.has(it.field)), ...changes] };
}

/** Whether this browser knows a zone's clock. */
function known(name: string): boolean {
  try {
    new Intl.DateTimeFormat("en", { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

export class Trial {
  readonly stay = signal<Stay | null>(null);
  /** As it is kept. */
  readonly kept = signal<Tried | null>(null);
  /** As it would be. */
  readonly tried = signal<Tried | null>(null);
  readonly moment = signal<Moment | null>(null);
  readonly tries = signal<Tries>(NOTHING);
  readonly index = signal(0);
  readonly problems = signal<Problem[]>([]);
  readonly trouble = signal<string | null>(null);

  /** While something is dragged, remedies that take a search are not asked for; when the finger rests, they are. */
  private readonly asker = latest<{ tries: Tries; time: string | null; quick: boolean }, Tried>(
    ({ tries, time, quick }, signal) =>
      send("POST", "/try", { stay: this.id, units: crew.value, ...told(tries), ...(time === null ? {} : { time }), ...(quick ? { quick } : {}) }, signal),
    (answer, { tries }) => this.take(answer, isNothing(tries)),
    (error) => this.fail(error),
  );
  private rests: ReturnType<typeof setTimeout> | undefined;
  private readonly mover = latest<string, Moment>(
    (time, signal) => get(`/stays/${encodeURIComponent(this.id)}/moment?time=${encodeURIComponent(time)}`, signal),
    (answer) => (this.moment.value = answer),
    (error) => this.fail(error),
  );

  constructor(readonly id: string) {
    void this.load();
  }

  async load(): Promise<void> {
    try {
      const stay = await get<Stay>(`/stays/${encodeURIComponent(this.id)}`);
      this.stay.value = stay;
      const told = stay.form ? at(stay.form, "stay.zone") : null;
      zone.value = typeof told === "string" && known(told) ? told : "UTC";
      const vessel = stay.form ? at(stay.form, "stay.vessel") : null;
      if (typeof vessel === "string") await readVessel(vessel);
      this.tries.value = NOTHING;
      this.ask(false);
    } catch (error) {
      this.fail(error);
    }
  }

  stop(): void {
    clearTimeout(this.rests);
    this.asker.stop();
    this.mover.stop();
  }

  try(tries: Tries): void {
    this.tries.value = tries;
    this.ask(false);
  }

  /** Something is dragged, or a slider slides. */
  drag(tries: Tries): void {
    this.tries.value = tries;
    this.ask(true);
  }

  /** The same again, as when another unit is read. */
  again(): void {
    if (this.stay.value) this.ask(false);
  }

  private ask(quick: boolean): void {
    clearTimeout(this.rests);
    this.asker.ask({ tries: this.tries.value, time: this.time(), quick });
  }

  /** Keeps what is tried: another device sees it at once. */
  async keep(): Promise<void> {
    const stay = this.stay.value;
    if (!stay) return;
    const { changes, drop_moved_m } = this.tries.value;
    try {
      await send("POST", `/stays/${encodeURIComponent(this.id)}/apply`, { revision: stay.revision, changes, ...(drop_moved_m === null ? {} : { drop_moved_m }) });
      await this.load();
    } catch (error) {
      this.fail(error);
    }
  }

  move(index: number): void {
    this.index.value = index;
    const time = this.time();
    if (time === null) return;
    if (isNothing(this.tries.value)) this.mover.ask(time);
    else this.ask(false);
  }

  private time(): string | null {
    return this.tried.value?.sheet.instants[this.index.value]?.time ?? null;
  }

  private take(answer: Tried, asKept: boolean): void {
    const first = this.tried.value === null;
    this.tried.value = answer;
    if (answer.moment) this.moment.value = answer.moment;
    this.problems.value = [];
    this.trouble.value = null;
    // Counted from the answer: what takes longer must not stand in the way of the finger's next movement.
    clearTimeout(this.rests);
    if (answer.quick) {
      this.rests = setTimeout(() => this.ask(false), RESTS_MS);
    }
    if (asKept) this.kept.value = answer;
    if (first) {
      // The stay's worst moment is what should be looked at first.
      const worst = answer.moment?.time ?? answer.sheet.chance_of_dragging?.worst ?? null;
      const index = answer.sheet.instants.findIndex((it) => it.time === worst);
      this.index.value = Math.max(0, index);
      if (!answer.moment) this.move(this.index.value);
    }
  }

  private fail(error: unknown): void {
    if (error instanceof Refused && 0 < error.problems.length) this.problems.value = error.problems;
    this.trouble.value = error instanceof Error ? error.message : String(error);
  }
}
