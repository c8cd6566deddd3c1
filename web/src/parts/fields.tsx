// A document edited field by field: each takes a figure in either unit, as in the files (7m, 23ft), and shows what the
// boat's computer found wrong with it.
import { useId } from "preact/hooks";
import type { Problem } from "../api";
import { example, unitOf } from "../units";
import { words } from "../words";
import { offered, type Choice } from "./choices";
import { at, withValue, type Form } from "./paths";

export interface Field {
  /** Within its table. */
  key: string;
  label: string;
  /** The unit that a bare number has, or an example. */
  hint?: string;
  kind?: "text" | "number" | "choice" | "list" | "yes" | "time";
  /** What it takes, where that depends on another document; else the boat's computer says. */
  choices?: (form: Form) => readonly string[];
  wanted?: boolean;
}

export interface Section {
  title: string;
  /** The table's path; empty for the top. */
  table: string;
  /** A list of tables: rows can be added and taken out. */
  many?: string;
  help?: string;
  fields: readonly Field[];
  /** Tables within each row. */
  within?: readonly Section[];
}

interface Props {
  which: "vessel" | "stay";
  form: Form;
  problems: readonly Problem[];
  /** A change of the form as it then is: two that come in one breath must not undo each other. */
  onChange: (change: (form: Form) => Form) => void;
}

export function Sections({ sections, ...props }: Props & { sections: readonly Section[] }) {
  return (
    <>
      {sections.map((section) => (
        <SectionOf key={section.table + section.title} section={section} prefix="" {...props} />
      ))}
    </>
  );
}

const joined = (...parts: string[]) => parts.filter((it) => it !== "").join(".");

function SectionOf({ section, prefix, ...props }: Props & { section: Section; prefix: string }) {
  const table = joined(prefix, section.table);
  if (section.many === undefined) {
    return (
      <fieldset>
        <legend>{section.title}</legend>
        {section.help ? <p class="quiet">{section.help}</p> : null}
        <Own problems={props.problems} path={table} />
        <Row section={section} table={table} {...props} />
      </fieldset>
    );
  }
  const rows = at(props.form, table);
  const count = Array.isArray(rows) ? rows.length : 0;
  return (
    <fieldset>
      <legend>{section.title}</legend>
      {section.help ? <p class="quiet">{section.help}</p> : null}
      <Own problems={props.problems} path={table} />
      {Array.from({ length: count }, (_, index) => (
        <div class="row" key={index}>
          <Row section={section} table={`${table}[${index + 1}]`} {...props} />
          <button
            type="button"
            class="plain"
            onClick={() => props.onChange((form) => withValue(form, `${table}[${index + 1}]`, undefined))}
          >
            {words.form.takeOut(section.many ?? "", index + 1)}
          </button>
        </div>
      ))}
      <button type="button" onClick={() => props.onChange((form) => withValue(form, `${table}[${count + 1}]`, {}))}>
        {words.form.add(section.many)}
      </button>
    </fieldset>
  );
}

function Row({ section, table, ...props }: Props & { section: Section; table: string }) {
  return (
    <>
      <div class="fields">
        {section.fields.map((field) => (
          <FieldOf key={field.key} field={field} path={joined(table, field.key)} {...props} />
        ))}
      </div>
      {section.within?.map((inner) => <SectionOf key={inner.title} section={inner} prefix={table} {...props} />)}
    </>
  );
}

/** Problems with the table itself. */
function Own({ problems, path }: { problems: readonly Problem[]; path: string }) {
  const own = problems.filter((it) => it.field === path && path !== "");
  return own.length === 0 ? null : (
    <ul class="problems">
      {own.map((it) => (
        <li key={it.text}>{it.text}</li>
      ))}
    </ul>
  );
}

/** The words of a field, and the one that stands in it though it is none of them: it must not vanish. */
function wordsOf(field: Field, which: string, path: string, form: Form, stands: string): Choice[] {
  const known = field.choices?.(form).map((word) => ({ word, says: "" })) ?? offered(which, path) ?? [];
  const unknown = stands !== "" && known.every((it) => it.word !== stands);
  return unknown ? [...known, { word: stands, says: "" }] : [...known];
}

function FieldOf({ which, field, path, form, problems, onChange }: Props & { field: Field; path: string }) {
  const id = useId();
  const value = at(form, path);
  const own = problems.filter((it) => it.field === path);
  const stands = text(value);
  const words_ = field.kind === "choice" || field.kind === "list" ? wordsOf(field, which, path, form, field.kind === "choice" ? stands : "") : [];
  const says = field.kind === "choice" ? words_.find((it) => it.word === stands)?.says : undefined;
  const unit = field.kind === undefined ? unitOf(field.hint) : null;
  const described = [own.length === 0 ? "" : `${id}-told`, says ? `${id}-says` : "", unit ? `${id}-unit` : ""].filter((it) => it !== "").join(" ");
  const common = { id, "aria-invalid": 0 < own.length, "aria-describedby": described === "" ? undefined : described, required: field.wanted ?? false };
  const told = own.length === 0 ? undefined : `${id}-told`;
  const set = (text: string) => onChange((now) => withValue(now, path, read(field, text)));
  return (
    <div class="field">
      <label for={id}>
        {field.label}
        {field.wanted ? <span class="quiet"> {words.form.wanted}</span> : null}
      </label>
      {field.kind === "choice" ? (
        <select {...common} value={stands} onChange={(event) => set(event.currentTarget.value)}>
          <option value="">{words.form.leftOut}</option>
          {words_.map(({ word }) => (
            <option key={word} value={word}>
              {word}
            </option>
          ))}
        </select>
      ) : field.kind === "yes" ? (
        <select {...common} value={value === true ? "yes" : ""} onChange={(event) => set(event.currentTarget.value)}>
          <option value="">{words.form.no}</option>
          <option value="yes">{words.form.yes}</option>
        </select>
      ) : (
        <input
          {...common}
          type="text"
          inputMode="text"
          autocomplete="off"
          spellcheck={false}
          value={stands}
          placeholder={example(field.hint)}
          onInput={(event) => set(event.currentTarget.value)}
        />
      )}
      {says ? (
        <span id={`${id}-says`} class="quiet says">
          {says}
        </span>
      ) : null}
      {unit ? (
        <span id={`${id}-unit`} class="quiet says">
          {words.form.bare(unit)}
        </span>
      ) : null}
      {field.kind === "list" && 0 < words_.length ? <Chips label={field.label} words={words_} stands={listed(value)} onChange={(all) => set(all.join(", "))} /> : null}
      {told ? (
        <ul id={told} class="problems">
          {own.map((it) => (
            <li key={it.text}>{it.text}</li>
          ))}
        </ul>
      ) : null}
    </div>
  );
}

/** A list's words to be tapped, beside the line in which they can be typed. */
function Chips({ label, words: all, stands, onChange }: { label: string; words: Choice[]; stands: string[]; onChange: (all: string[]) => void }) {
  return (
    <details class="chips">
      <summary>{words.form.wordsFor(label)}</summary>
      <div role="group" aria-label={words.form.wordsFor(label)}>
        {all.map(({ word }) => {
          const has = stands.includes(word);
          return (
            <button type="button" key={word} aria-pressed={has} onClick={() => onChange(has ? stands.filter((it) => it !== word) : [...stands, word])}>
              {word}
            </button>
          );
        })}
      </div>
    </details>
  );
}

const listed = (value: unknown): string[] =>
  (Array.isArray(value) ? value.map(String) : typeof value === "string" ? value.split(",") : []).map((it) => it.trim()).filter((it) => it !== "");

function text(value: unknown): string {
  if (value === undefined || value === null) return "";
  if (Array.isArray(value)) return value.join(", ");
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

/** What was typed, as it stands until it is kept: a figure half typed must not be tidied under the finger. */
function read(field: Field, typed: string): unknown {
  if (field.kind === "yes") return typed === "yes" ? true : undefined;
  return typed === "" ? undefined : typed;
}

/** A form as it is sent: a bare number is one, a list is one, all else is text, and the reader judges it. */
export function settled(sections: readonly Section[], form: Form): Form {
  let now = form;
  const walk = (list: readonly Section[], prefix: string) => {
    for (const section of list) {
      const table = joined(prefix, section.table);
      const rows = section.many === undefined ? [table] : rowsOf(now, table).map((index) => `${table}[${index}]`);
      for (const row of rows) {
        for (const field of section.fields) {
          const path = joined(row, field.key);
          const value = at(now, path);
          if (typeof value === "string") now = withValue(now, path, meant(field, value.trim()));
        }
        if (section.within) walk(section.within, row);
      }
    }
  };
  walk(sections, "");
  return now;
}

function rowsOf(form: Form, table: string): number[] {
  const rows = at(form, table);
  return Array.isArray(rows) ? rows.map((_, index) => index + 1) : [];
}

function meant(field: Field, said: string): unknown {
  if (said === "") return undefined;
  switch (field.kind) {
    case "list":
      return said.split(",").map((it) => it.trim()).filter((it) => it !== "");
    case "choice":
    case "text":
      return said;
    default:
      if (!/^[-+]?\d+(\.\d+)?$/.test(said)) return said;
      // A bare figure is in the unit that stands beside the field: it is written down with it.
      return unitOf(field.hint) === null ? Number(said) : `${said} ${unitOf(field.hint)}`;
  }
}

/** Problems that no field of the page shows: told at the head, so that none is lost. */
export function Unplaced({ problems, shown }: { problems: readonly Problem[]; shown: (path: string) => boolean }) {
  const rest = problems.filter((it) => !shown(it.field));
  if (rest.length === 0) return null;
  return (
    <ul class="problems" role="alert">
      {rest.map((it) => (
        <li key={it.field + it.text}>{it.field === "" ? it.text : `${it.field}: ${it.text}`}</li>
      ))}
    </ul>
  );
}

/** Whether a list of sections has a field for a path. */
export function shows(sections: readonly Section[]): (path: string) => boolean {
  const shapes = new Set<string>();
  const walk = (list: readonly Section[], prefix: string) => {
    for (const section of list) {
      const table = joined(prefix, section.table) + (section.many === undefined ? "" : "[]");
      shapes.add(table.replace(/\[\]$/, ""));
      shapes.add(table);
      for (const field of section.fields) shapes.add(joined(table, field.key));
      if (section.within) walk(section.within, table);
    }
  };
  walk(sections, "");
  shapes.delete("");
  return (path) => shapes.has(path.replace(/\[\d+\]/g, "[]"));
}
