// What the crew tell the watch: rode veered, where the anchor lies, the engine, aweigh, the end.
import { useEffect, useMemo, useState } from "preact/hooks";
import { get, send } from "../api";
import { latest } from "../parts/latest";
import { standing } from "../live";
import type { Sheet, Tried } from "../sheet";
import { chance, length, rode } from "../units";
import { words } from "../words";
import { say } from "./alarms";

export function Tell() {
  const [answer, setAnswer] = useState("");
  const [place, setPlace] = useState("");
  const [ending, setEnding] = useState(false);
  const tell = (line: string) => void say(line).then(setAnswer, (error: Error) => setAnswer(error.message));
  return (
    <section aria-labelledby="tell">
      <h2 id="tell">{words.watch.tell}</h2>
      <p aria-live="polite">{answer}</p>
      <Veer tell={tell} />
      <div class="fields">
        <label class="field">
          {words.watch.dropAt}
          <input value={place} placeholder="33°58.200'N 120°58.000'W" onInput={(event) => setPlace(event.currentTarget.value)} />
        </label>
        <button type="button" disabled={place.trim() === ""} onClick={() => tell(`dropped ${place}`)}>
          {words.watch.sayDrop}
        </button>
      </div>
      <p class="doings">
        <button type="button" onClick={() => tell("dropped here")}>
          {words.watch.dropHere}
        </button>
        <button type="button" onClick={() => tell("engine on")}>
          {words.watch.engineOn}
        </button>
        <button type="button" onClick={() => tell("engine off")}>
          {words.watch.engineOff}
        </button>
        <button type="button" onClick={() => tell("aweigh")}>
          {words.watch.aweigh}
        </button>
        <button type="button" onClick={() => (ending ? tell("end") : setEnding(true))}>
          {ending ? words.watch.endSure : words.watch.end}
        </button>
      </p>
    </section>
  );
}

/** Rode veered: what it would change in the plan stands there before the windlass turns. */
function Veer({ tell }: { tell: (line: string) => void }) {
  const stay = standing.value?.stay?.id ?? null;
  const [text, setText] = useState("");
  const [kept, setKept] = useState<Sheet | null>(null);
  const [tried, setTried] = useState<Sheet | null>(null);
  const [trouble, setTrouble] = useState("");
  const asker = useMemo(
    () =>
      latest<string, Tried>(
        (value, signal) => send("POST", "/try", { stay, changes: [{ field: "stay.veered", value }] }, signal),
        (answer) => (setTried(answer.sheet), setTrouble("")),
        (error) => (setTried(null), setTrouble(error instanceof Error ? error.message : String(error))),
      ),
    [stay],
  );
  useEffect(() => {
    if (stay !== null) get<Sheet>(`/stays/${encodeURIComponent(stay)}/sheet`).then(setKept, () => undefined);
    return () => asker.stop();
  }, [stay, asker]);
  const put = (value: string) => {
    setText(value);
    setTried(null);
    setTrouble("");
    if (value.trim() !== "") asker.ask(value.trim());
  };
  return (
    <div class="veer">
      <div class="fields">
        <label class="field">
          {words.watch.rodeOut}
          <input value={text} placeholder={words.watch.rodeHint} inputMode="decimal" onInput={(event) => put(event.currentTarget.value)} />
        </label>
        <button type="button" disabled={text.trim() === ""} onClick={() => tell(`veered ${text}`)}>
          {words.watch.sayVeered}
        </button>
      </div>
      <div aria-live="polite">
        {text.trim() !== "" && trouble !== "" ? <p>{words.watch.veerUnknown(trouble)}</p> : null}
        {kept && tried ? <Difference kept={kept} tried={tried} /> : null}
      </div>
    </div>
  );
}

const leastRoom = (sheet: Sheet): number | null => sheet.room.reduce<number | null>((least, it) => Math.min(least ?? it.least_m, it.least_m), null);

function Difference({ kept, tried }: { kept: Sheet; tried: Sheet }) {
  const rows: [string, (sheet: Sheet) => string][] = [
    [words.stay.rode, (it) => rode(it.rode_m)],
    [words.stay.word, (it) => words.verdicts[it.verdict]],
    [words.stay.chance, (it) => chance(it.chance_of_dragging?.p90 ?? null)],
    [words.along.room, (it) => length(leastRoom(it), "down")],
  ];
  return (
    <table class="difference">
      <caption>{words.watch.veerChanges}</caption>
      <thead>
        <tr>
          <td />
          <th scope="col">{words.watch.planned}</th>
          <th scope="col">{words.stay.wouldBe}</th>
        </tr>
      </thead>
      <tbody>
        {rows.map(([what, of]) => (
          <tr key={what}>
            <th scope="row">{what}</th>
            <td>{of(kept)}</td>
            <td>{of(tried)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
