// What before and after say, and what they do not, in sentences: from the comparison's own figures.
import type { Comparison } from "../api/types";
import { number, percent, say } from "../words/words";

export function comparisonLines(c: Comparison): string[] {
  if (c.shown === null || c.fisher_p === null) return [];
  const lines = [whatWasSeen(c)];
  if (c.needed_each !== null && c.hoped_percent !== null) {
    lines.push(say("change.takes", { from: percent(c.before_percent), to: percent(c.hoped_percent), often: Math.round(100 * c.power), n: c.needed_each }));
    if (c.needed_more_after === null) lines.push(say("change.wider_before"));
    else lines.push(c.needed_more_after === 0 ? say("change.enough") : say("change.more_needed", { n: c.needed_more_after }));
  }
  const { difference_low_by_lots: low, difference_high_by_lots: high } = c;
  const known = low !== null && high !== null;
  lines.push(known ? say("change.by_lots", { low: number(low, 1), high: number(high, 1) }) : say("change.lots_unknown"));
  return lines;
}

function whatWasSeen({ shown, fisher_p }: Comparison) {
  if (!shown) return say("change.can_be_chance");
  const ofThousand = Math.round(1000 * (fisher_p ?? 0));
  return ofThousand < 1 ? say("change.would_chance_small", { of: 1000 }) : say("change.would_chance", { n: ofThousand, of: 1000 });
}
