import { useState } from "preact/hooks";
import { send } from "../api";
import { clock } from "../boat_time";
import { me, view } from "../live";
import type { Alarm } from "../shapes";
import { words } from "../words";
import { Hold } from "./hold";

/** Says something to the watch; its answer is shown where it was said. */
export function say(line: string): Promise<string> {
  return send<{ answer: string }>("POST", "/watch/words", { line }).then((it) => it.answer);
}

/** For how long an alarm may be still, in minutes. */
const STILL_MIN = [5, 10, 30, 60] as const;

export function Alarms() {
  const [answer, setAnswer] = useState("");
  const alarms = view.value?.alarms ?? [];
  const acts = me.value?.role === "act";
  const tell = (line: string) => void say(line).then(setAnswer, (error: Error) => setAnswer(error.message));
  return (
    <section class="alarm-holder" aria-labelledby="alarms">
      <h2 id="alarms">{words.watch.alarms}</h2>
      {alarms.length === 0 ? <p>{words.watch.quietNow}</p> : null}
      <ul class="alarms" aria-live="assertive">
        {alarms.map((it) => (
          <li key={it.alarm} data-standing={it.standing}>
            <p>
              <strong>{it.text}</strong> <span class="quiet">{standingOf(it)}</span>
            </p>
            {acts ? <Doings alarm={it} tell={tell} /> : null}
          </li>
        ))}
      </ul>
      <p aria-live="polite" class="quiet">
        {answer}
      </p>
    </section>
  );
}

/** "acknowledged by Mara's phone 03:12, rang at 03:11". */
function standingOf(it: Alarm): string {
  const standing = words.watch.standing[it.standing] ?? it.standing;
  const by = it.said ? ` ${words.watch.by(it.said.by.name, clock(it.said.time))}` : "";
  const until = it.until ? `, ${words.watch.until(clock(it.until))}` : "";
  return `${standing}${by}${until}, ${words.watch.since(clock(it.since))}`;
}

function Doings({ alarm, tell }: { alarm: Alarm; tell: (line: string) => void }) {
  const [minutes, setMinutes] = useState<number>(10);
  const rings = alarm.standing === "ringing";
  return (
    <p class="doings">
      {rings || alarm.standing === "past" ? (
        <Hold label={`${words.watch.hold}: ${alarm.text}`} onHeld={() => tell(`acknowledge ${alarm.alarm}`)} />
      ) : null}
      {rings || alarm.standing === "acknowledged" ? (
        <span class="still">
          <button type="button" onClick={() => tell(`silence ${alarm.alarm} ${minutes}min`)}>
            {words.watch.silence}
          </button>
          <select aria-label={words.watch.silenceFor} value={minutes} onChange={(event) => setMinutes(Number(event.currentTarget.value))}>
            {STILL_MIN.map((it) => (
              <option key={it} value={it}>
                {words.watch.minutes(it)}
              </option>
            ))}
          </select>
        </span>
      ) : null}
      {alarm.standing === "acknowledged" ? (
        <button type="button" class="plain" onClick={() => tell(`clear ${alarm.alarm}`)}>
          {words.watch.clear}
        </button>
      ) : null}
    </p>
  );
}
