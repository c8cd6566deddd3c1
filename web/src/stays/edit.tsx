import { useEffect, useMemo, useState } from "preact/hooks";
import { get, send } from "../api";
import { Document, type Kind } from "../parts/document";
import type { Field, Section } from "../parts/fields";
import { at, type Form } from "../parts/paths";
import { to } from "../route";
import { words } from "../words";
import { STAY } from "./fields";

interface Vessel {
  id: string;
  form: Form | null;
}

/** Every vessel that is kept, as her form has her. */
async function allVessels(): Promise<Vessel[]> {
  const { vessels } = await get<{ vessels: { id: string }[] }>("/vessels");
  return Promise.all(vessels.map(({ id }) => get<Vessel>(`/vessels/${encodeURIComponent(id)}`)));
}

/** The stay's own form; its vessel is one of those kept aboard. */
export function EditStay({ id }: { id: string | null }) {
  const [vessels, setVessels] = useState<Vessel[] | null>(null);
  useEffect(() => {
    allVessels().then(setVessels, () => setVessels([]));
  }, []);
  const kind = useMemo<Kind>(
    () => ({
      path: "stays",
      which: "stay",
      sections: STAY.map((section) => withVessels(section, vessels ?? [])),
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

/** The names of what the stay's vessel carries. */
function carried(vessels: readonly Vessel[], list: string): (form: Form) => string[] {
  return (form) => {
    const hers = vessels.find((it) => it.id === at(form, "stay.vessel"))?.form;
    const all = hers ? at(hers, list) : undefined;
    return Array.isArray(all) ? all.flatMap((it: { name?: unknown }) => (typeof it.name === "string" ? [it.name] : [])) : [];
  };
}

function withVessels(section: Section, vessels: readonly Vessel[]): Section {
  const snubbers = carried(vessels, "snubber");
  const of: Record<string, (form: Form) => string[]> = {
    vessel: () => vessels.map((it) => it.id),
    anchor: carried(vessels, "anchor"),
    rode: carried(vessels, "rode"),
    // The reader's word for a snubber that is not rigged.
    snubber: (form) => [...snubbers(form), "none"],
  };
  if (section.table !== "stay") return section;
  return { ...section, fields: section.fields.map((field) => ({ ...field, ...(of[field.key] ? { choices: of[field.key] } : {}) }) as Field) };
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
