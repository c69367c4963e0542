// Which time a page looks at: the last day, week, month, three months, or one shift.
import { html } from "lit";
import { sayMany } from "../words/words";

export const spanDays = [1, 7, 30, 90];

export const spanFrom = (days: number) => new Date(Date.now() - days * 86_400_000).toISOString();

export function spanChoice(label: string, days: number, choose: (days: number) => void) {
  return html`<label>${label}<select @change=${(event: Event) => choose(Number((event.target as HTMLSelectElement).value))}>
    ${spanDays.map((span) => html`<option value=${span} ?selected=${span === days}>${sayMany("span.days", span)}</option>`)}
  </select></label>`;
}
