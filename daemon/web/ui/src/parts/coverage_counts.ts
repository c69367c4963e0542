// Of how many that came through a figure is, and why the others are not in it.
import type { SpanCoverage } from "../api/types";
import { number, say, sayExcluded } from "../words/words";

export function countsLine({ passages, scored, excluded }: SpanCoverage): string {
  const why = Object.entries(excluded)
    .sort(([, a], [, b]) => b - a)
    .map(([cause, n]) => `${number(n)} ${sayExcluded(cause)}`)
    .join(", ");
  return why ? say("coverage.left_out", { scored, passages, why }) : say("coverage.counts", { scored, passages });
}
