// A vessel or a stay on the table: by form or as its file, checked and kept by the boat's computer.
import { useEffect, useState } from "preact/hooks";
import { get, Refused, send, type Problem } from "../api";
import { words } from "../words";
import { Sections, settled, shows, Unplaced, type Section } from "./fields";
import { readChoices } from "./choices";
import type { Form } from "./paths";

interface Held {
  id: string;
  revision: number;
  text: string;
  /** Absent where the text is no TOML. */
  form: Form | null;
}

export interface Kind {
  /** Of the API: vessels, stays. */
  path: "vessels" | "stays";
  which: "vessel" | "stay";
  sections: readonly Section[];
  /** A new one's beginning. */
  blank: Form;
}

export function Document({ kind, id, onKept }: { kind: Kind; id: string | null; onKept: (id: string) => void }) {
  const [held, setHeld] = useState<Held | null>(null);
  const [form, setForm] = useState<Form | null>(id === null ? kind.blank : null);
  const [text, setText] = useState<string | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [trouble, setTrouble] = useState<string | null>(null);
  const [keeping, setKeeping] = useState(false);

  const take = (it: Held) => (setHeld(it), setForm(it.form ?? {}), setText(it.form === null ? it.text : null), setProblems([]), setTrouble(null));
  const fail = (error: unknown) => {
    if (error instanceof Refused) setProblems(error.problems);
    const conflict = error instanceof Refused && error.status === 409;
    setTrouble(conflict ? words.document.conflict : error instanceof Error ? error.message : String(error));
  };
  useEffect(() => void readChoices(), []);
  useEffect(() => {
    if (id !== null) get<Held>(`/${kind.path}/${encodeURIComponent(id)}`).then(take, fail);
  }, [id]);

  const keep = async () => {
    setKeeping(true);
    const body = { ...(held ? { revision: held.revision } : {}), ...(text === null ? { form: settled(kind.sections, form ?? {}) } : { text }) };
    try {
      const path = held ? `/${kind.path}/${encodeURIComponent(held.id)}` : `/${kind.path}`;
      const kept = await send<Held>(held ? "PUT" : "POST", path, body);
      take(kept);
      onKept(kept.id);
    } catch (error) {
      fail(error);
    }
    setKeeping(false);
  };

  if (form === null) return trouble ? <p role="alert">{trouble}</p> : <p class="quiet">{words.asking}</p>;
  const own = problems.filter((it) => it.document !== "request" || it.field === "");
  return (
    <form
      class="document"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      {trouble ? (
        <p class="problems" role="alert">
          {0 < own.length ? words.document.problems(own.length) : trouble}
        </p>
      ) : null}
      <Unplaced
        problems={own}
        shown={text === null ? (field) => own.some((it) => it.field === field && it.document === kind.which) && shows(kind.sections)(field) : () => false}
      />
      {text === null ? (
        <Sections which={kind.which} sections={kind.sections} form={form} problems={own.filter((it) => it.document === kind.which)} onChange={(change) => setForm((now) => (now === null ? null : change(now)))} />
      ) : (
        <label class="field">
          {words.document.file}
          <textarea rows={28} spellcheck={false} value={text} onInput={(event) => setText(event.currentTarget.value)} />
        </label>
      )}
      <p class="doings keeps">
        <button type="submit" disabled={keeping}>
          {words.document.keep}
        </button>
        {text === null ? (
          <button type="button" class="plain" onClick={() => setText(held?.text ?? "")}>
            {words.document.asFile}
          </button>
        ) : (
          <button type="button" class="plain" onClick={() => setText(null)}>
            {words.document.asForm}
          </button>
        )}
        <label class="button plain">
          {words.document.take}
          <input
            class="only-read"
            type="file"
            accept=".toml,text/plain"
            onChange={(event) => {
              const file = event.currentTarget.files?.[0];
              if (file) void file.text().then(setText);
            }}
          />
        </label>
      </p>
    </form>
  );
}
