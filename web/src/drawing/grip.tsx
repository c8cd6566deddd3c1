// Something in a drawing that can be taken hold of: by finger, by mouse, and by the arrow keys.
import type { ComponentChildren } from "preact";

interface Held {
  label: string;
  /** Where it stands, in words. */
  says: string;
  /** A figure for who only hears one. */
  now: number;
  least: number;
  most: number;
  x: number;
  y: number;
  /** Dragged to a place of the window; done when the finger is lifted. */
  onDrag: (clientX: number, clientY: number, done: boolean) => void;
  /** Moved by a step to the right and up; `fine` while Shift is held. */
  onStep: (right: number, up: number, fine: boolean) => void;
  /** Back to where it was. */
  onBack: () => void;
  children?: ComponentChildren;
}

const STEPS: Record<string, [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
/** A target that a gloved finger finds: 44 px across. */
const TARGET_PX = 22;

export function Grip(props: Held) {
  const { label, says, now, least, most, x, y, onDrag, onStep, onBack, children } = props;
  return (
    <g
      class="grip"
      role="slider"
      // In an SVG the attribute's own spelling counts.
      tabindex={0}
      aria-label={label}
      aria-valuenow={Math.round(now)}
      aria-valuemin={least}
      aria-valuemax={most}
      aria-valuetext={says}
      onPointerDown={(event) => event.currentTarget.setPointerCapture(event.pointerId)}
      onPointerMove={(event) => {
        if (event.currentTarget.hasPointerCapture(event.pointerId)) onDrag(event.clientX, event.clientY, false);
      }}
      onPointerUp={(event) => onDrag(event.clientX, event.clientY, true)}
      onKeyDown={(event) => {
        if (event.key === "Escape") return onBack();
        const step = STEPS[event.key];
        if (!step) return;
        event.preventDefault();
        onStep(step[0], step[1], event.shiftKey);
      }}
    >
      <circle class="target" cx={x} cy={y} r={TARGET_PX} />
      {children}
    </g>
  );
}
