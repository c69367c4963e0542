// Settings, a line each: its key and what stands for it. On a phone the key has a line of its own, with the values under it.
import { html, nothing } from "lit";
import { say } from "../words/words";

export interface SettingLine {
  key: string;
  values: (string | null)[];
  /** Where it stands in its file. */
  line?: number | null;
}

/** heads: what each of the values is. */
export function settingLines(label: string, heads: string[], lines: SettingLine[]) {
  const numbered = lines.some((one) => one.line != null);
  return html`<div class="wide boxed" tabindex="0" role="region" aria-label=${label}><table class="setting-lines" role="table">
    <thead role="rowgroup"><tr role="row"><th role="columnheader">${say("station.setting")}</th>
      ${heads.map((head) => html`<th role="columnheader">${head}</th>`)}
      ${numbered ? html`<th role="columnheader" class="num">${say("station.line", { n: "" })}</th>` : nothing}</tr></thead>
    <tbody role="rowgroup">${lines.map((one) => html`<tr role="row"><td role="cell" class="small key-of">${one.key}</td>
      ${one.values.map((value, i) => html`<td role="cell" class="small" data-head=${heads.length > 1 ? `${heads[i]}: ` : ""}>${value ?? "–"}</td>`)}
      ${numbered ? html`<td role="cell" class="soft small num">${lineOf(one)}</td>` : nothing}</tr>`)}</tbody>
  </table></div>`;
}

const lineOf = ({ line }: SettingLine) => (line == null ? "" : say("station.line", { n: String(line) }));
