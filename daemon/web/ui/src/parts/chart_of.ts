// The run chart of shifts as the station gives it.
import { html } from "lit";
import type { Chart } from "../api/types";
import { day, number, percent, say, sayMany } from "../words/words";
import "./run_chart";
import type { ChartPoint } from "./run_chart";

export function chartOf(chart: Chart) {
  const points = chart.shifts.map((shift): ChartPoint => ({
    utc: shift.start,
    percent: shift.percent,
    low: shift.percent_low,
    high: shift.percent_high,
    chance_low: shift.limit_low_percent,
    chance_high: shift.limit_high_percent,
    over: shift.verdict === "over_limit",
    outside: shift.outside,
    open: shift.state === "open",
    words: [
      `${day(shift.start)}, ${shift.shift}`,
      percent(shift.percent),
      say("share.of", { vocal: shift.vocal ?? 0, scored: sayMany("animals", shift.scored ?? 0) }),
      `${say("shifts.interval")}: ${number(shift.percent_low ?? 0, 1)} – ${percent(shift.percent_high)}`,
      ...(shift.verdict === "over_limit" ? [`▲ ${say("share.over")}`] : []),
      ...(shift.state === "open" ? [say("chart.open")] : []),
      ...(shift.outside ? [say("chart.outside")] : []),
    ],
    goes: `/shifts/${shift.shift_id}`,
  }));
  const marks = chart.marks.filter((mark) => mark.kind === "change").map((mark) => ({ utc: mark.at, words: mark.text, when: day(mark.at), goes: `/changes/${mark.entry_id}` }));
  return html`<run-chart .points=${points} .marks=${marks} .limit=${[...chart.shifts].reverse().find((shift) => shift.limit_percent !== null)?.limit_percent ?? null} .mean=${chart.mean?.percent ?? null}></run-chart>`;
}
