// The alarm on this device. A browser lets a page sound only after a tap: taking the watch is that tap, and sounds the
// alarm once, so that whoever takes it knows whether this device can wake them.
import { signal } from "@preact/signals";

let context: AudioContext | null = null;
let bell: { stop: () => void } | null = null;

/** What this device sounds now; tests read it, and so does the page. */
export const sounding = signal<"nothing" | "notice" | "alarm" | "stale">("nothing");
export const unlocked = signal(false);

/** Two tones that alternate, 0.32 s each: 740 and 988 Hz lie where small loudspeakers are loud and ears are keen. */
const PATTERN = {
  alarm: { tones: [740, 988], step: 0.32, rest: 0.25 },
  stale: { tones: [520, 520, 520], step: 0.18, rest: 0.9 },
  notice: { tones: [660], step: 0.25, rest: 4 },
} as const;

export async function unlock(): Promise<boolean> {
  if (!context) {
    context = new AudioContext();
    // A telephone call, or another program, may take the sound away at any time: that must be seen.
    context.addEventListener("statechange", () => (unlocked.value = context?.state === "running"));
  }
  await context.resume().catch(() => undefined);
  unlocked.value = context.state === "running";
  return unlocked.value;
}

/** Sounds a pattern from now on, until another or nothing is asked for. */
export function sound(what: "nothing" | "notice" | "alarm" | "stale"): void {
  if (what === sounding.value) return;
  bell?.stop();
  bell = null;
  sounding.value = what;
  if (what === "nothing" || !context) return;
  bell = ring(context, what, Number.POSITIVE_INFINITY);
  if ("vibrate" in navigator && what !== "notice") navigator.vibrate([600, 200, 600, 200, 600]);
}

/** Sounds the alarm for two seconds. */
export async function test(): Promise<void> {
  if (!(await unlock()) || !context) return;
  const once = ring(context, "alarm", 2);
  if ("vibrate" in navigator) navigator.vibrate([400, 150, 400]);
  await new Promise((done) => setTimeout(done, 2_000));
  once.stop();
}

function ring(on: AudioContext, what: keyof typeof PATTERN, seconds: number): { stop: () => void } {
  const { tones, step, rest } = PATTERN[what];
  const round = tones.length * step + rest;
  const gain = on.createGain();
  gain.gain.value = 0;
  gain.connect(on.destination);
  const tone = on.createOscillator();
  tone.type = "square";
  tone.connect(gain);
  tone.start();
  const from = on.currentTime + 0.02;
  let told = 0;
  // Told some rounds ahead, so that a page in the background, whose timers are slowed, goes on ringing.
  const tell = () => {
    while (told * round < Math.min(seconds, on.currentTime - from + 8)) {
      for (const [index, frequency] of tones.entries()) {
        const at = from + told * round + index * step;
        tone.frequency.setValueAtTime(frequency, at);
        gain.gain.setValueAtTime(0.5, at);
        gain.gain.setValueAtTime(0, at + step * 0.92);
      }
      told += 1;
    }
  };
  tell();
  const timer = setInterval(tell, 1_000);
  return {
    stop() {
      clearInterval(timer);
      tone.stop();
      tone.disconnect();
      gain.disconnect();
    },
  };
}
