// The run chart of shifts as the station gives it.
import { html } from "lit";
import type { Chart } from "../api/types";
import { day, percent } from "../words/words";
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
    words: `${day(shift.start)}, ${shift.shift}: ${percent(shift.percent)} (${percent(shift.percent_low)} – ${percent(shift.percent_high)})`,
    goes: `/shifts/${shift.shift_id}`,
  }));
  const marks = chart.marks.filter((mark) => mark.kind === "change").map((mark) => ({ utc: mark.at, words: mark.text }));
  return html`<run-chart .points=${points} .marks=${marks} .limit=${[...chart.shifts].reverse().find((shift) => shift.limit_percent !== null)?.limit_percent ?? null} .mean=${chart.mean?.percent ?? null}></run-chart>`;
}
