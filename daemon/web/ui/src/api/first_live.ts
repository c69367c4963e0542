// What the frame asked of the station when the page was opened: a page of live figures begins with it, and has no need to
// wait for its own connection.
import type { Live } from "./types";

const staleAfterMs = 5000;
let kept: { live: Live; cameMs: number } | null = null;

export const keepFirst = (live: Live) => void (kept = { live, cameMs: performance.now() });
/** Given once: later pages would begin with old figures. */
export function takeFirst(): Live | null {
  const live = kept && performance.now() - kept.cameMs < staleAfterMs ? kept.live : null;
  kept = null;
  return live;
}
