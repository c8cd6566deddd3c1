// Questions that overtake each other: one is on its way at most, and only the last one asked is asked next.
export function latest<A, B>(ask: (what: A, signal: AbortSignal) => Promise<B>, take: (answer: B, what: A) => void, fail: (error: unknown) => void) {
  let waiting: { what: A } | null = null;
  let running = false;
  let stopped = false;
  const abort = new AbortController();

  async function run(): Promise<void> {
    running = true;
    while (waiting !== null && !stopped) {
      const { what } = waiting;
      waiting = null;
      try {
        const answer = await ask(what, abort.signal);
        if (!stopped) take(answer, what);
      } catch (error) {
        if (!stopped) fail(error);
      }
    }
    running = false;
  }
  return {
    ask(what: A): void {
      waiting = { what };
      if (!running) void run();
    },
    stop(): void {
      stopped = true;
      abort.abort();
    },
  };
}
