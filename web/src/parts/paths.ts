// Places in a document by the path that problems use: tables of a list counted from 1, as in rode[1].stretch[2].length.
export type Form = { [key: string]: unknown };

type Step = string | number;

function steps(path: string): Step[] {
  return path.split(".").flatMap((part): Step[] => {
    const [key = "", ...places] = part.split("[");
    return [key, ...places.map((it) => Number.parseInt(it, 10) - 1)];
  });
}

export function at(form: Form, path: string): unknown {
  let here: unknown = form;
  for (const step of steps(path)) {
    if (here === null || typeof here !== "object") return undefined;
    here = (here as Record<Step, unknown>)[step];
  }
  return here;
}

/** The form with another value at a place; undefined takes the key out, and tables that it leaves empty. */
export function withValue(form: Form, path: string, value: unknown): Form {
  return (put(form, steps(path), value) ?? {}) as Form;
}

function put(here: unknown, [first, ...rest]: Step[], value: unknown): unknown {
  if (first === undefined) return value;
  if (typeof first === "number") {
    const list = Array.isArray(here) ? [...here] : [];
    const made = put(list[first], rest, value);
    // A row that has just lost its last figure stays a row: it is taken out only when it is named itself.
    if (made === undefined && rest.length === 0) list.splice(first, 1);
    else if (made === undefined) list[first] = {};
    else list[first] = made;
    return list.length === 0 ? undefined : list;
  }
  const table: Form = here !== null && typeof here === "object" && !Array.isArray(here) ? { ...(here as Form) } : {};
  const made = put(table[first], rest, value);
  if (made === undefined) delete table[first];
  else table[first] = made;
  return Object.keys(table).length === 0 ? undefined : table;
}
