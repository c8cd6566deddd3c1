import type { ComponentChildren } from "preact";
import { SMALL_PX, type Placed } from "./labels";

export function Letters(props: {
  x: number;
  y: number;
  anchor?: "start" | "middle" | "end";
  small?: boolean;
  halo?: boolean;
  children: ComponentChildren;
}) {
  const classes = ["letters", props.small ? "small" : "", props.halo ? "halo" : ""].filter(Boolean).join(" ");
  return (
    <text class={classes} x={props.x} y={props.y} text-anchor={props.anchor ?? "start"}>
      {props.children}
    </text>
  );
}

/** Words where a place was found for them. */
export function Put({ it, px = SMALL_PX }: { it: Placed | null; px?: number }) {
  return it === null ? null : (
    <Letters x={it.x} y={it.y} small={px === SMALL_PX} halo>
      {it.text}
    </Letters>
  );
}
