import { useState } from "preact/hooks";
import { send } from "../api";
import { clock } from "../boat_time";
import { me, view } from "../live";
import { words } from "../words";
import { Hold } from "./hold";

/** Says something to the watch; its answer is shown where it was said. */
export function say(line: string): Promise<string> {
  return send<{ answer: string }>("POST", "/watch/words", { line }).then((it) => it.answer);
}

export function Alarms() {
  const [answer, setAnswer] = useState("");
  const alarms = view.value?.alarms ?? [];
  const acts = me.value?.role === "act";
  const tell = (line: string) => void say(line).then(setAnswer, (error: Error) => setAnswer(error.message));
  return (
    <section aria-labelledby="alarms">
      <h2 id="alarms">{words.watch.alarms}</h2>
      {alarms.length === 0 ? <p>{words.watch.quietNow}</p> : null}
      <ul class="alarms" aria-live="assertive">
        {alarms.map((it) => (
          <li key={it.alarm} data-standing={it.standing}>
            <p>
              <strong>{it.text}</strong>
              <span class="quiet">
                {` ${words.watch.standing[it.standing] ?? it.standing}, ${words.watch.since(clock(it.since))}`}
                {it.until ? `, ${words.watch.until(clock(it.until))}` : ""}
              </span>
            </p>
            {acts ? (
              <p class="doings">
                {it.standing === "ringing" || it.standing === "past" ? (
                  <Hold label={`${words.watch.hold}: ${it.text}`} onHeld={() => tell(`acknowledge ${it.alarm}`)} />
                ) : null}
                {it.standing === "ringing" || it.standing === "acknowledged" ? (
                  <button type="button" onClick={() => tell(`silence ${it.alarm} 10min`)}>
                    {words.watch.silence}
                  </button>
                ) : null}
                {it.standing === "acknowledged" ? (
                  <button type="button" class="plain" onClick={() => tell(`clear ${it.alarm}`)}>
                    {words.watch.clear}
                  </button>
                ) : null}
              </p>
            ) : null}
          </li>
        ))}
      </ul>
      <p aria-live="polite" class="quiet">
        {answer}
      </p>
    </section>
  );
}
