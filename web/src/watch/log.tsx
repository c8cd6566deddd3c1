// What rang and what was said, the last first: who looks in the morning sees who was up.
import { useEffect, useState } from "preact/hooks";
import { get } from "../api";
import { clock, day } from "../boat_time";
import type { Log as Told } from "../shapes";
import { words } from "../words";

/** Lines that are shown: a night's worth. */
const MOST = 60;

export function Log() {
  const [open, setOpen] = useState(false);
  const [told, setTold] = useState<Told | null>(null);
  useEffect(() => {
    if (!open) return undefined;
    const load = () => void get<Told>("/watch/alarms").then(setTold, () => undefined);
    load();
    const news = ["told", "ring", "quiet", "escalate"].map((name) => `boat:${name}`);
    news.forEach((it) => addEventListener(it, load));
    return () => news.forEach((it) => removeEventListener(it, load));
  }, [open]);
  return (
    <details class="log" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{words.watch.log}</summary>
      <ol class="lines">
        {lines(told).map((it) => (
          <li key={it.time + it.text}>
            <span class="quiet">{`${day(it.time)} ${clock(it.time)}`}</span> {it.text}
          </li>
        ))}
      </ol>
    </details>
  );
}

function lines(told: Told | null): { time: string; text: string }[] {
  if (told === null) return [];
  const rang = told.alarms.map((it) => ({ time: it.time, text: `${words.watch.changes[it.change]}: ${it.text}` }));
  const said = told.words.map((it) => ({ time: it.time, text: words.watch.saidBy(it.by.name, it.line, it.answer) }));
  return [...rang, ...said].sort((a, b) => b.time.localeCompare(a.time)).slice(0, MOST);
}
