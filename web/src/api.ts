// Asks of the boat's computer, and its refusals.

/** One thing that was wrong with what was sent, where it stands. */
export interface Problem {
  document: "vessel" | "stay" | "request";
  field: string;
  line: number | null;
  column: number | null;
  text: string;
}

/** The server said no, and why. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly problems: Problem[],
  ) {
    super(problems.map((it) => it.text).join(" ") || `refused (${status})`);
  }
}

const ROOT = "/api/v1";
/** A question that is not answered by then will not be. */
const WITHIN_MS = 20_000;

async function asked(path: string, init: RequestInit): Promise<Response> {
  const limit = AbortSignal.timeout(WITHIN_MS);
  const signal = init.signal ? AbortSignal.any([init.signal, limit]) : limit;
  const answer = await fetch(`${ROOT}${path}`, { ...init, signal, credentials: "same-origin" });
  if (answer.ok) return answer;
  const body: unknown = await answer.json().catch(() => null);
  const problems = (body as { problems?: Problem[] } | null)?.problems ?? [];
  throw new Refused(answer.status, problems);
}

export async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  const answer = await asked(path, signal ? { signal } : {});
  return (await answer.json()) as T;
}

export async function send<T>(method: "POST" | "PUT" | "DELETE", path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  const init: RequestInit = { method, ...(signal ? { signal } : {}) };
  if (body !== undefined) {
    init.headers = { "content-type": "application/json" };
    init.body = JSON.stringify(body);
  }
  const answer = await asked(path, init);
  return (answer.status === 204 ? undefined : await answer.json()) as T;
}
