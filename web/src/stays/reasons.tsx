import { useState } from "preact/hooks";
import { clock, day } from "../boat_time";
import type { Sheet } from "../sheet";
import { words } from "../words";
import { changed, type Trial } from "./trial";

/** Reasons that an eye takes in; the most urgent come first. */
const AT_ONCE = 8;

/** Why the word is what it is, most urgent first, and what would mend it: a tap tries a remedy. */
export function Reasons({ sheet, trial, acts, quick }: { sheet: Sheet; trial: Trial; acts: boolean; quick: boolean }) {
  const [all, setAll] = useState(false);
  const shown = all ? sheet.reasons : sheet.reasons.slice(0, AT_ONCE);
  const rest = sheet.reasons.length - shown.length;
  return (
    <section aria-labelledby="reasons">
      <h2 id="reasons">{words.stay.reasons}</h2>
      {quick ? <p class="quiet">{words.stay.remediesLater}</p> : null}
      {sheet.reasons.length === 0 ? <p>{words.stay.noReasons}</p> : null}
      <ol class="reasons">
        {shown.map((reason) => (
          <li key={reason.code + reason.text} data-says={reason.calls_for}>
            <p>
              {reason.calls_for === "lies_well" ? null : <strong>{words.verdicts[reason.calls_for]}: </strong>}
              {reason.text}
              {reason.time ? <span class="quiet"> {`${day(reason.time)} ${clock(reason.time)}`}</span> : null}
            </p>
            {reason.remedy ? <p class="remedy">{reason.remedy}</p> : null}
            {acts
              ? reason.remedies?.filter((remedy) => 0 < remedy.changes.length).map((remedy) => (
                  <button
                    type="button"
                    key={remedy.text}
                    onClick={() => {
                      trial.try(changed(trial.tries.value, ...remedy.changes));
                      scrollTo({ top: 0 });
                    }}
                  >
                    {words.stay.tryRemedy(remedy.text)}
                  </button>
                ))
              : null}
          </li>
        ))}
      </ol>
      {rest === 0 ? null : (
        <button type="button" aria-expanded={false} onClick={() => setAll(true)}>
          {words.stay.moreReasons(rest)}
        </button>
      )}
    </section>
  );
}
