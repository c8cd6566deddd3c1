import { useRef, useState } from "preact/hooks";
import { words } from "../words";

/** For how long a finger must stay: long enough that no sleeper's hand does it, short enough for gloves. */
const HOLD_MS = 900;

/** A button that wants to be held. A key that is held does the same. */
export function Hold({ label, onHeld }: { label: string; onHeld: () => void }) {
  const [held, setHeld] = useState(false);
  const timer = useRef<number | undefined>(undefined);
  const begin = () => {
    if (timer.current !== undefined) return;
    setHeld(true);
    timer.current = window.setTimeout(() => {
      end();
      onHeld();
    }, HOLD_MS);
  };
  const end = () => {
    window.clearTimeout(timer.current);
    timer.current = undefined;
    setHeld(false);
  };
  return (
    <button
      type="button"
      class={held ? "hold held" : "hold"}
      aria-label={label}
      onPointerDown={begin}
      onPointerUp={end}
      onPointerLeave={end}
      onPointerCancel={end}
      onContextMenu={(event) => event.preventDefault()}
      onKeyDown={(event) => {
        if (event.key === " " || event.key === "Enter") {
          event.preventDefault();
          if (!event.repeat) begin();
        }
      }}
      onKeyUp={end}
      onBlur={end}
    >
      {held ? words.watch.holding : words.watch.hold}
    </button>
  );
}
