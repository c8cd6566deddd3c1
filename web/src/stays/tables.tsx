import { clock, day } from "../boat_time";
import type { Sheet } from "../sheet";
import { force, length, retold, rode, speed } from "../units";
import { words } from "../words";

/** What stands on the sheet beneath the drawings. */
export function Tables({ sheet }: { sheet: Sheet }) {
  return (
    <div class="tables">
      <Parts sheet={sheet} />
      <BowTable sheet={sheet} />
      <Room sheet={sheet} />
      <Reminders sheet={sheet} />
      <details>
        <summary>{words.tables.rules}</summary>
        <ul class="lines">
          {sheet.rules.map((it) => (
            <li key={it.rule}>
              <strong>{it.rule}:</strong> {rode(it.by_rule_m)}. {retold(it.parts ?? "")}
            </li>
          ))}
        </ul>
      </details>
      <details>
        <summary>{words.tables.origins}</summary>
        <ul class="lines">
          {sheet.provenance.map((it) => (
            <li key={it.what}>
              <strong>{it.what}:</strong> {retold(it.value)} <em>({it.origin})</em> <span class="quiet">{it.source}</span>
            </li>
          ))}
        </ul>
      </details>
    </div>
  );
}

function Parts({ sheet }: { sheet: Sheet }) {
  return (
    <section aria-labelledby="parts">
      <h2 id="parts">{words.tables.parts}</h2>
      <div class="scrolls" tabIndex={0} role="group" aria-labelledby="parts">
        <table>
          <thead>
            <tr>
              <th scope="col">{words.tables.part}</th>
              <th scope="col">{words.tables.bears}</th>
              <th scope="col">{words.tables.may}</th>
              <th scope="col">{words.tables.gives}</th>
            </tr>
          </thead>
          <tbody>
            {sheet.parts.map((part) => (
              <tr key={part.name}>
                <th scope="row">
                  {part.name} <span class="quiet">({part.origin})</span>
                </th>
                <td>{force(part.load_n)}</td>
                <td>{force(part.may_carry_n, "down")}</td>
                <td>{force(part.gives_at_n, "down")}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

function BowTable({ sheet }: { sheet: Sheet }) {
  const table = sheet.bow_table;
  if (!table) return null;
  return (
    <section aria-labelledby="bow-table">
      <h2 id="bow-table">{words.tables.bow}</h2>
      <div class="scrolls" tabIndex={0} role="group" aria-labelledby="bow-table">
        <table class="bow">
          <thead>
            <tr>
              <th scope="col">{words.tables.depthByGust}</th>
              {table.gusts_ms.map((gust) => (
                <th scope="col" key={gust}>
                  {speed(gust, "near")}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {table.depths_m.map((depth, row) => (
              <tr key={depth}>
                <th scope="row">{length(depth)}</th>
                {(table.rode_m[row] ?? []).map((out, column) => (
                  <td key={column}>{out === null ? words.tables.notEnough : rode(out)}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

function Room({ sheet }: { sheet: Sheet }) {
  if (sheet.room.length === 0) return null;
  return (
    <section aria-labelledby="room">
      <h2 id="room">{words.tables.room}</h2>
      <ul class="lines">
        {sheet.room.map((it) => (
          <li key={it.to}>
            <strong>{it.to}:</strong> {length(it.least_m, "down")}, {`${day(it.time)} ${clock(it.time)}`}
            {it.assumed.length === 0 ? "" : <span class="quiet"> {retold(it.assumed.join("; "))}</span>}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Reminders({ sheet }: { sheet: Sheet }) {
  return (
    <details>
      <summary>{words.tables.reminders}</summary>
      <ul class="lines">
        {sheet.reminders.map((it) => (
          <li key={it.text}>
            {it.text} {it.rule ? <span class="quiet">{it.rule}</span> : null}
            {it.spans.length === 0 ? null : (
              <span class="quiet">
                {" "}
                {it.spans.map((at) => `${day(at.from)} ${clock(at.from)}–${clock(at.to)}`).join(", ")}
              </span>
            )}
          </li>
        ))}
      </ul>
    </details>
  );
}
