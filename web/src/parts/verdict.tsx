import type { Verdict } from "../sheet";
import { words } from "../words";

const SAYS: Record<Verdict, string> = {
  lies_well: "well",
  lies_with_care: "care",
  do_not_lie_here: "refuse",
  cannot_say: "unknown",
};

/** The word of a sheet; its rule says it again. */
export function VerdictWord({ verdict, small }: { verdict: Verdict; small?: boolean }) {
  return (
    <span class={small ? "verdict small" : "verdict"} data-says={SAYS[verdict]}>
      {words.verdicts[verdict]}
    </span>
  );
}
