// The run chart of shifts as the station gives it.
import { html } from "lit";
import type { Chart, ChartedShift } from "../api/types";
import { day, number, percent, say, sayMany, shiftName } from "../words/words";
import "./run_chart";
import type { ChartMark, ChartPoint } from "./run_chart";

export function chartOf(chart: Chart) {
  const marks = chart.marks
    .filter((mark) => mark.kind === "change")
    .map((mark): ChartMark => ({ utc: mark.at, words: mark.text, when: day(mark.at), goes: `/changes/${mark.entry_id}` }));
  const limit = [...chart.shifts].reverse().find((shift) => shift.limit_percent !== null)?.limit_percent ?? null;
  return html`<run-chart .points=${chart.shifts.map(pointOf)} .marks=${marks} .limit=${limit} .mean=${chart.mean?.percent ?? null}></run-chart>`;
}

const pointOf = (shift: ChartedShift): ChartPoint => ({
  utc: shift.start,
  until: shift.end,
  percent: shift.percent,
  low: shift.percent_low,
  high: shift.percent_high,
  chance_low: shift.limit_low_percent,
  chance_high: shift.limit_high_percent,
  over: shift.verdict === "over_limit",
  outside: shift.outside,
  open: shift.state === "open",
  words: [
    `${day(shift.start)}, ${shiftName(shift.shift)}`,
    percent(shift.percent),
    say("share.of", { vocal: shift.vocal ?? 0, scored: sayMany("animals", shift.scored ?? 0) }),
    `${say("shifts.interval")}: ${number(shift.percent_low ?? 0, 1)} – ${percent(shift.percent_high)}`,
    ...(shift.verdict === "over_limit" ? [`▲ ${say("share.over")}`] : []),
    ...(shift.state === "open" ? [say("chart.open")] : []),
    ...(shift.outside ? [say("chart.outside")] : []),
  ],
  goes: `/shifts/${shift.shift_id}`,
});
