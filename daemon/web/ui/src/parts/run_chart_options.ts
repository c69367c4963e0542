// How uPlot draws a run chart: one place a point in the order of time, so that days without a shift leave no hole.
// Everything but the line is drawn here, in the colours of the page as they are now.
import uPlot from "uplot";
import { number, percent, pointDay } from "../words/words";
import { type Dated, positionOf } from "./mark_position";
import { scale } from "./part";

export interface ChartPoint extends Dated {
  percent: number | null;
  low: number | null;
  high: number | null;
  /** What chance alone leaves it within, where that is known. */
  chance_low: number | null;
  chance_high: number | null;
  over: boolean;
  outside: boolean;
  /** When; the share; what more there is to say. */
  words: string[];
  goes?: string;
}
export interface ChartMark {
  utc: string;
  words: string;
  when: string;
  goes?: string;
}

interface Drawn {
  points: ChartPoint[];
  marks: ChartMark[];
  limit: number | null;
  mean: number | null;
  element: Element;
  width: number;
}

/** On a desk, px. */
const deskHigh = 280;

export function runChartOptions(drawn: Drawn): uPlot.Options {
  const { points, element, width } = drawn;
  const by = scale();
  const style = getComputedStyle(element);
  const colour = (name: string) => style.getPropertyValue(`--${name}`).trim();
  const font = `${12 * by}px ${style.fontFamily}`;
  const top = topOf(points, drawn.limit);
  const axis = { stroke: colour("soft"), font, ticks: { show: false } };
  return {
    width,
    height: deskHigh * by,
    padding: [22 * by, 8 * by, 0, 0],
    legend: { show: false },
    cursor: { y: false, points: { show: false }, drag: { x: true, y: false, dist: 8, uni: 40 } },
    scales: {
      x: { time: false, range: (_, min, max) => (max - min < 1 || min === 0 ? [-0.5, points.length - 0.5] : [min, max]) },
      y: { range: [0, top] },
    },
    axes: [
      {
        ...axis,
        size: 28 * by,
        space: 90 * by,
        grid: { show: false },
        incrs: [1, 2, 5, 10, 20, 50, 100, 200],
        values: (_, at) => at.map((i) => (points[i] ? pointDay(points[i].utc) : "")),
      },
      {
        ...axis,
        size: 52 * by,
        space: 44 * by,
        grid: { stroke: colour("line"), width: 1 },
        values: (_, at) => at.map((p) => `${number(p, at.some((one) => one % 1 !== 0) ? 1 : 0)} %`),
      },
    ],
    series: [{}, { stroke: colour("pine"), width: 2 * by, points: { show: false } }],
    hooks: {
      drawAxes: [(plot) => drawBehind(plot, drawn, colour, by)],
      draw: [(plot) => drawBefore(plot, drawn, colour, by, font)],
    },
  };
}

type Colour = (name: string) => string;
const inside = (plot: uPlot, draw: (pen: CanvasRenderingContext2D) => void) => {
  const { left, top, width, height } = plot.bbox;
  plot.ctx.save();
  plot.ctx.beginPath();
  plot.ctx.rect(left, 0, width, top + height + 1);
  plot.ctx.clip();
  draw(plot.ctx);
  plot.ctx.restore();
};
const places = (plot: uPlot) => {
  const most = plot.scales["y"]?.max ?? 100;
  return { x: (i: number) => plot.valToPos(i, "x", true), y: (p: number) => plot.valToPos(Math.max(0, Math.min(p, most)), "y", true), most };
};

function drawBehind(plot: uPlot, { points, limit, mean }: Drawn, colour: Colour, by: number) {
  const { x, y } = places(plot);
  const dense = devicePixelRatio;
  inside(plot, (pen) => {
    pen.fillStyle = colour("line");
    pen.globalAlpha = 0.5;
    points.forEach((point, i) => {
      if (point.chance_high === null) return;
      const high = y(point.chance_high);
      pen.fillRect(x(i - 0.5), high, x(i + 0.5) - x(i - 0.5) + 0.5, Math.max(1, y(point.chance_low ?? 0) - high));
    });
    pen.globalAlpha = 1;
    const across = (p: number, stroke: string, wide: number, dash: number[]) => {
      pen.strokeStyle = stroke;
      pen.lineWidth = wide * by * dense;
      pen.setLineDash(dash.map((part) => part * by * dense));
      pen.beginPath();
      pen.moveTo(plot.bbox.left, y(p));
      pen.lineTo(plot.bbox.left + plot.bbox.width, y(p));
      pen.stroke();
      pen.setLineDash([]);
    };
    if (mean !== null) across(mean, colour("soft"), 1, []);
    if (limit !== null) across(limit, colour("rust"), 2, [7, 4]);
  });
}

function drawBefore(plot: uPlot, { points, marks }: Drawn, colour: Colour, by: number, font: string) {
  const { x, y, most } = places(plot);
  const dense = devicePixelRatio;
  const px = by * dense;
  inside(plot, (pen) => {
    pen.font = font.replace(/^[\d.]+/, (size) => String(Number(size) * dense));
    points.forEach((point, i) => {
      const value = point.percent ?? 0;
      if (point.low !== null && point.high !== null) {
        pen.strokeStyle = colour("soft");
        pen.lineWidth = px;
        pen.beginPath();
        pen.moveTo(x(i), y(point.high));
        pen.lineTo(x(i), y(point.low));
        pen.stroke();
      }
      pen.fillStyle = colour(point.over ? "rust" : "pine");
      pen.strokeStyle = colour("sheet");
      pen.lineWidth = 1.5 * px;
      pen.beginPath();
      if (point.over) {
        pen.moveTo(x(i), y(value) - 8 * px);
        pen.lineTo(x(i) + 7 * px, y(value) + 5 * px);
        pen.lineTo(x(i) - 7 * px, y(value) + 5 * px);
        pen.closePath();
      } else pen.arc(x(i), y(value), 4.5 * px, 0, 7);
      if (point.open) {
        pen.fillStyle = colour("sheet");
        pen.strokeStyle = colour("pine");
        pen.lineWidth = 2 * px;
      }
      pen.fill();
      pen.stroke();
      if (point.outside) {
        pen.strokeStyle = colour("ink");
        pen.beginPath();
        pen.arc(x(i), y(value), 9.5 * px, 0, 7);
        pen.stroke();
      }
      if (value > most) {
        pen.fillStyle = colour("soft");
        pen.textAlign = "end";
        pen.fillText(`↑ ${percent(value, 0)}`, x(i) - 9 * px, y(value) + 5 * px);
      }
    });
    marks.forEach((mark, i) => drawMark(plot, pen, x(positionOf(mark.utc, points)), String(i + 1), colour, px));
  });
}

function drawMark(plot: uPlot, pen: CanvasRenderingContext2D, x: number, words: string, colour: Colour, px: number) {
  pen.strokeStyle = colour("sky");
  pen.lineWidth = 2 * px;
  pen.beginPath();
  pen.moveTo(x, 20 * px);
  pen.lineTo(x, plot.bbox.top + plot.bbox.height);
  pen.stroke();
  pen.fillStyle = colour("sky");
  pen.beginPath();
  pen.arc(x, 11 * px, 9.5 * px, 0, 7);
  pen.fill();
  pen.fillStyle = colour("sheet");
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillText(words, x, 11.5 * px);
  pen.textBaseline = "alphabetic";
}

/** The scale ends where the usual points do; one beyond (a shift that has just begun) is drawn at the edge with its value. */
export function topOf(points: ChartPoint[], limit: number | null) {
  const values = points.filter((point) => !point.open).map((point) => point.percent ?? 0).sort((a, b) => a - b);
  const usual = values[Math.floor((values.length - 1) * 0.9)] ?? 0;
  return Math.min(100, Math.max(4, 1.5 * (limit ?? 0), 1.6 * usual, Math.min(values.at(-1) ?? 0, 3 * usual) * 1.15));
}
