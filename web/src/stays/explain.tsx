import { useEffect, useState } from "preact/hooks";
import { get } from "../api";
import { clock, day } from "../boat_time";
import { force, length, speed } from "../units";
import { words } from "../words";

interface Figure {
  name: string;
  value: number | string | null;
  unit: string | null;
  origin: string;
  formula: string | null;
  inputs: { name: string; value: number | string | null; unit: string | null }[];
  source: string | null;
}

/** Where every number of a moment comes from. */
export function Explain({ id, time, tried }: { id: string; time: string; tried: boolean }) {
  const [answer, setAnswer] = useState<{ time: string; figures: Figure[] } | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  useEffect(() => {
    const abort = new AbortController();
    get<{ time: string; figures: Figure[] }>(`/stays/${encodeURIComponent(id)}/explain?time=${encodeURIComponent(time)}`, abort.signal).then(
      setAnswer,
      (error: Error) => {
        if (!abort.signal.aborted) setTrouble(error.message);
      },
    );
    return () => abort.abort();
  }, [id, time]);
  if (trouble) return <p role="alert">{trouble}</p>;
  if (!answer) return <p class="quiet">{words.asking}</p>;
  return (
    <>
      <h2>{words.stay.explained(`${day(answer.time)} ${clock(answer.time)}`)}</h2>
      {tried ? <p>{words.stay.explainsKept}</p> : null}
      <ul class="figures-explained">
        {answer.figures.map((it) => (
          <li key={it.name}>
            <details>
              <summary>
                <span>{it.name}</span>
                <strong>{inCrewUnits(it.value, it.unit) ?? `${said(it.value)} ${it.unit ?? ""}`}</strong>
                <em>{it.origin}</em>
              </summary>
              {it.formula ? <p class="formula">{it.formula}</p> : null}
              <dl class="figures">
                {it.inputs.map((input) => (
                  <div key={input.name}>
                    <dt>{input.name}</dt>
                    <dd>{`${said(input.value)} ${input.unit ?? ""}`}</dd>
                  </div>
                ))}
              </dl>
              {it.source ? <p class="quiet">{it.source}</p> : null}
            </details>
          </li>
        ))}
      </ul>
    </>
  );
}

/** A figure that the crew read in a unit of their own. */
function inCrewUnits(value: number | string | null, unit: string | null): string | null {
  if (typeof value !== "number") return null;
  const of: Record<string, (value: number) => string> = { m: length, "m/s": (it) => speed(it, "near"), N: force };
  return of[unit ?? ""]?.(value) ?? null;
}

function said(value: number | string | null): string {
  if (value === null) return words.unknown;
  if (typeof value === "string") return value;
  return value.toLocaleString("en-GB", { maximumSignificantDigits: 4, useGrouping: false });
}
