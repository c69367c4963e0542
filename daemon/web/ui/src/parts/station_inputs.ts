// What the station listens with: a sheet for each microphone, and one for the contacts. As they are now, where it is known.
import { html } from "lit";
import type { StationContact, StationMicrophone } from "../api/station_types";
import type { Live } from "../api/types";
import { clock, dayTime, level as levelOf, number, say, sayOf, seconds } from "../words/words";

const healthTroubles = ["silent_s", "clipped_s", "hum_s", "wind_s", "covered_s", "level_far_s"] as const;

export function microphoneSheet(microphone: StationMicrophone, now: Live | null) {
  const live = now?.levels.find((level) => level.microphone === microphone.name);
  const { minute } = microphone;
  const level = live?.level_db ?? minute?.level_db ?? null;
  const unit = live?.unit ?? minute?.unit ?? "";
  const troubles = minute ? healthTroubles.filter((key) => minute[key] > 0) : [];
  return html`<section class="sheet"><div class="title"><h2>${say("station.microphone", { name: microphone.name })}</h2>
      <span class="small soft">${microphone.device}</span></div>
    <p class="reading"><span class="value" data-level=${microphone.name}>${levelOf(level, unit)}</span></p>
    <p>${troubles.length === 0
      ? html`<span class="tag within">✓ ${say("station.hears")}</span>`
      : troubles.map((key) => html`<span class="tag over">${sayOf("health", key)} ${seconds(minute?.[key], 0)}</span> `)}</p>
    <dl class="facts small">
      <dt>${say("station.background")}</dt><dd>${levelOf(minute?.background_db, minute?.unit ?? "")}</dd>
      <dt>${say("station.calibrated")}</dt><dd>${calibrationWords(microphone)}</dd>
    </dl></section>`;
}

function calibrationWords({ calibration }: StationMicrophone): string {
  if (!calibration) return say("station.never");
  const when = calibration.calibrated_at ? dayTime(calibration.calibrated_at) : say("station.by_file");
  return calibration.drift_db === null ? when : `${when} · ${say("station.drift", { db: number(calibration.drift_db, 1) })}`;
}

export function contactSheet(contacts: StationContact[], now: Live | null) {
  const heads = ["contact", "state", "last_edge", "input"] as const;
  return html`<section class="sheet"><h2>${say("station.contacts")}</h2><p class="soft small">${say("station.wiring")}</p>
    <div class="wide" tabindex="0" role="region" aria-label=${say("station.contacts")}><table>
      <thead><tr>${heads.map((head) => html`<th>${say(`station.${head}`)}</th>`)}</tr></thead>
      <tbody>${contacts.map((contact) => contactRow(contact, now))}</tbody></table></div></section>`;
}

function contactRow(contact: StationContact, now: Live | null) {
  const live = now?.contacts.find((edge) => edge.role === contact.role);
  const closed = live?.closed ?? contact.edge?.closed;
  const state = contact.fault ? html`<span class="tag over">▲ ${sayOf("fault", contact.fault.what)}</span>` : closedTag(closed);
  return html`<tr><td class="strong">${sayOf("contact", contact.role)}</td><td data-contact=${contact.role}>${state}</td>
    <td>${clock(live?.time ?? contact.edge?.utc)}</td>
    <td class="small soft">${contact.input}${contact.inverted ? ` (${say("station.inverted")})` : ""}</td></tr>`;
}

function closedTag(closed: boolean | undefined) {
  if (closed === undefined) return "–";
  return closed ? html`<span class="tag within">● ${say("station.closed")}</span>` : html`<span class="tag">○ ${say("station.open")}</span>`;
}
