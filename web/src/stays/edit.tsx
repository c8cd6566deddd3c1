import { useEffect, useMemo, useState } from "preact/hooks";
import { get, send } from "../api";
import { Document, type Kind } from "../parts/document";
import type { Section } from "../parts/fields";
import { to } from "../route";
import { words } from "../words";
import { STAY } from "./fields";

interface Vessels {
  vessels: { id: string; name: string }[];
}

/** The stay's own form; its vessel is one of those kept aboard. */
export function EditStay({ id }: { id: string | null }) {
  const [vessels, setVessels] = useState<Vessels["vessels"] | null>(null);
  useEffect(() => {
    get<Vessels>("/vessels").then(
      (answer) => setVessels(answer.vessels),
      () => setVessels([]),
    );
  }, []);
  const kind = useMemo<Kind>(
    () => ({
      path: "stays",
      which: "stay",
      sections: STAY.map((section) => withVessels(section, (vessels ?? []).map((it) => it.id))),
      blank: { stay: vessels?.[0] ? { vessel: vessels[0].id } : {} },
    }),
    [vessels],
  );
  if (vessels === null) return <p class="quiet">{words.asking}</p>;
  if (vessels.length === 0) {
    return (
      <section>
        <h1>{words.stays.plan}</h1>
        <p>{words.document.vesselFirst}</p>
        <a class="button" href={to("aboard", "vessel", "new")}>
          {words.document.writeVessel}
        </a>
      </section>
    );
  }
  return (
    <section aria-labelledby="edit">
      <p class="quiet">
        <a href={id === null ? to("stays") : to("stays", id)}>{words.document.back}</a>
      </p>
      <h1 id="edit">{id === null ? words.stays.plan : words.stay.edit}</h1>
      <Document kind={kind} id={id} onKept={(kept) => (location.hash = to("stays", kept))} />
      {id === null ? null : <Attachments id={id} />}
      {id === null ? null : <TakeOut path={`/stays/${encodeURIComponent(id)}`} after={to("stays")} />}
    </section>
  );
}

function withVessels(section: Section, ids: string[]): Section {
  return { ...section, fields: section.fields.map((field) => (section.table === "stay" && field.key === "vessel" ? { ...field, choices: ids } : field)) };
}

/** Forecast files and constants that the stay names. */
function Attachments({ id }: { id: string }) {
  const [said, setSaid] = useState<string | null>(null);
  const take = async (file: File) => {
    const name = file.name.replace(/[^\w.-]+/g, "_");
    const answer = await fetch(`/api/v1/stays/${encodeURIComponent(id)}/attachments/${encodeURIComponent(name)}`, { method: "PUT", body: file });
    setSaid(answer.ok ? words.document.attached(name) : words.document.notAttached(name));
  };
  return (
    <fieldset>
      <legend>{words.document.attachments}</legend>
      <p class="quiet">{words.document.attachmentsHelp}</p>
      <label class="field">
        {words.document.attach}
        <input
          type="file"
          onChange={(event) => {
            const file = event.currentTarget.files?.[0];
            if (file) void take(file);
          }}
        />
      </label>
      <p aria-live="polite">{said}</p>
    </fieldset>
  );
}

/** Taking out for good needs two taps. */
export function TakeOut({ path, after }: { path: string; after: string }) {
  const [sure, setSure] = useState(false);
  const [trouble, setTrouble] = useState<string | null>(null);
  const take = () => send("DELETE", path).then(() => (location.hash = after), (error: Error) => setTrouble(error.message));
  return (
    <p class="doings">
      <button type="button" onClick={() => (sure ? void take() : setSure(true))}>
        {sure ? words.document.takeOutSure : words.document.takeOut}
      </button>
      {sure ? (
        <button type="button" class="plain" onClick={() => setSure(false)}>
          {words.document.leave}
        </button>
      ) : null}
      {trouble ? <span role="alert">{trouble}</span> : null}
    </p>
  );
}
