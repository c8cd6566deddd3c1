// The words that fields of the documents take: one list, the one by which the boat's computer reads them.
import { signal } from "@preact/signals";
import { get } from "../api";

export interface Choice {
  word: string;
  says: string;
}

export const choices = signal<Record<string, Choice[]>>({});

export async function readChoices(): Promise<void> {
  if (0 < Object.keys(choices.value).length) return;
  await get<{ choices: Record<string, Choice[]> }>("/choices").then(
    (answer) => (choices.value = answer.choices),
    // Fields can be typed all the same.
    () => undefined,
  );
}

/** What a field of a document takes; its rows are not told apart. */
export function offered(which: string, path: string): Choice[] | null {
  return choices.value[`${which}:${path.replace(/\[\d+\]/g, "[]")}`] ?? null;
}
