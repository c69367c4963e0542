// The signs of the page: a shape each, so that none is told by its colour alone.
import { svg, html } from "lit";

/** An animal that cried out: an open mouth's rays. */
export const criedSign = html`<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M3 10v4h4l5 5V5L7 10z" fill="currentColor"/><path d="M15 8l5-3M15.500 12H21M15 16l5 3" stroke="currentColor" stroke-width="2.200" stroke-linecap="round" fill="none"/></svg>`;
export const silentSign = html`<svg viewBox="0 0 24 24" aria-hidden="true"><circle cx="12" cy="12" r="8.500" fill="none" stroke="currentColor" stroke-width="2.200"/><path d="M8 12h8" stroke="currentColor" stroke-width="2.200" stroke-linecap="round"/></svg>`;
export const alarmSign = html`<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M12 2.500 22.500 21h-21z" fill="none" stroke="currentColor" stroke-width="2.200" stroke-linejoin="round"/><path d="M12 9v6" stroke="currentColor" stroke-width="2.600" stroke-linecap="round"/><circle cx="12" cy="18" r="1.500" fill="currentColor"/></svg>`;
export const calmSign = html`<svg class="calm-sign" viewBox="0 0 24 24" aria-hidden="true"><circle cx="12" cy="12" r="9" fill="none" stroke="currentColor" stroke-width="2"/><path d="M7.500 12.500l3 3 6-7" fill="none" stroke="currentColor" stroke-width="2.200" stroke-linecap="round" stroke-linejoin="round"/></svg>`;
export const linkSign = (live: boolean) =>
  live
    ? html`<svg class="link-sign" viewBox="0 0 16 16" aria-hidden="true"><circle cx="8" cy="8" r="5" fill="var(--pine)"/></svg>`
    : html`<svg class="link-sign" viewBox="0 0 16 16" aria-hidden="true"><path d="M3 3l10 10M13 3L3 13" stroke="var(--rust)" stroke-width="2.500"/></svg>`;
/** Where an animal cried out, on a drawing; x, y: its tip, pointing left. */
export const cryMark = (x: number, y: number, size: number, counted: boolean) =>
  svg`<path class=${counted ? "cry" : "uncounted"} d="M${x} ${y}l${size} ${-size * 0.75}v${size * 1.5}z"/>`;
