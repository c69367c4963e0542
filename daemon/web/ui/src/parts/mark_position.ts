// Where on a run chart what was altered stands: on the shift during which it was altered, or between two of them.

export interface Dated {
  utc: string;
  /** The end, where the point is a span of time. */
  until?: string | null;
  /** It goes on. */
  open?: boolean;
}

/** The point within whose time a moment lies, by its place. A moment at its start or its end is beside it. */
export function pointDuring(utc: string, points: readonly Dated[]): number | null {
  const at = Date.parse(utc);
  let last = points.length - 1;
  while (last >= 0 && Date.parse(points[last]?.utc ?? "") >= at) --last;
  const point = points[last];
  if (!point) return null;
  return point.open || (point.until && at < Date.parse(point.until)) ? last : null;
}

/** On that point, else between the last one before it and the first one that is not. */
export function positionOf(utc: string, points: readonly Dated[]): number {
  const during = pointDuring(utc, points);
  if (during !== null) return during;
  const at = points.findIndex((point) => Date.parse(point.utc) >= Date.parse(utc));
  return (at < 0 ? points.length : at) - 0.5;
}
