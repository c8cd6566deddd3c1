// What was measured so long ago that it is not shown as now.

/** A minute: every instrument of a boat speaks oftener, and the watch is blind after half of it. */
const OLD_MS = 60_000;

export const isOld = (then: string, now: string): boolean => !(Date.parse(now) - Date.parse(then) < OLD_MS);
