import { useEffect, useState } from "preact/hooks";
import { get } from "../api";
import { clock, day, ofZone } from "../boat_time";
import { me, onChanged } from "../live";
import { VerdictWord } from "../parts/verdict";
import { to } from "../route";
import type { Verdict } from "../sheet";
import { words } from "../words";

interface Listed {
  id: string;
  name: string;
  revision: number;
  verdict: Verdict | null;
  from: string | null;
  to: string | null;
  watch: "none" | "kept" | "over";
}

export function Stays() {
  const [stays, setStays] = useState<Listed[] | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  useEffect(() => {
    const load = () =>
      get<{ stays: Listed[] }>("/stays").then(
        (answer) => (setStays(answer.stays), setTrouble(null)),
        (error: Error) => setTrouble(error.message),
      );
    void load();
    return onChanged((changed) => {
      if (changed.what === "stay") void load();
    });
  }, []);
  return (
    <section aria-labelledby="stays">
      <div class="title">
        <h1 id="stays">{words.stays.title}</h1>
        {me.value?.role === "act" ? (
          <a class="button" href={to("stays", "new")}>
            {words.stays.plan}
          </a>
        ) : null}
      </div>
      {trouble ? <p role="alert">{trouble}</p> : null}
      {stays === null ? <p class="quiet">{words.asking}</p> : null}
      {stays?.length === 0 ? <p>{words.stays.none}</p> : null}
      <ul class="cards">
        {stays?.map((stay) => (
          <li key={stay.id}>
            <a class="card" href={to("stays", stay.id)}>
              <strong>{stay.name}</strong>
              {stay.from && stay.to ? (
                <span class="quiet">
                  {words.stays.span(`${day(stay.from)} ${clock(stay.from)}`, `${day(stay.to)} ${clock(stay.to)}${ofZone()}`)}
                </span>
              ) : null}
              {stay.verdict ? <VerdictWord verdict={stay.verdict} small /> : null}
              {stay.watch === "kept" ? <span class="mark">{words.stays.watched}</span> : null}
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}
