// The places of the page, their addresses and who may see them.
import type { Role } from "./api/client";
import type { Word } from "./words/words";

export interface Place {
  path: string;
  word: Word;
  least: Role;
  tag: string;
  load: () => Promise<unknown>;
  /** A place of its own in the list; else it is reached from another. */
  listed: boolean;
}

export const places: readonly Place[] = [
  { path: "/", word: "place.live", least: "wall", tag: "live-page", load: () => import("./pages/live"), listed: true },
  { path: "/shifts", word: "place.shifts", least: "reviewer", tag: "shifts-page", load: () => import("./pages/shifts"), listed: true },
  { path: "/shifts/:shift", word: "place.shift", least: "reviewer", tag: "shift-page", load: () => import("./pages/shift"), listed: false },
  { path: "/calls", word: "place.calls", least: "reviewer", tag: "calls-page", load: () => import("./pages/calls"), listed: true },
  { path: "/calls/:shift/:call", word: "place.calls", least: "reviewer", tag: "calls-page", load: () => import("./pages/calls"), listed: false },
  { path: "/factors", word: "place.factors", least: "reviewer", tag: "factors-page", load: () => import("./pages/factors"), listed: true },
  { path: "/changes", word: "place.changes", least: "reviewer", tag: "changes-page", load: () => import("./pages/changes"), listed: true },
  { path: "/changes/:change", word: "place.changes", least: "reviewer", tag: "change-page", load: () => import("./pages/change"), listed: false },
  { path: "/lots", word: "place.lots", least: "reviewer", tag: "lots-page", load: () => import("./pages/lots"), listed: true },
  { path: "/audit", word: "place.audit", least: "reviewer", tag: "audit-page", load: () => import("./pages/audit"), listed: true },
  { path: "/cases", word: "place.cases", least: "reviewer", tag: "cases-page", load: () => import("./pages/cases"), listed: true },
  { path: "/cases/:case", word: "place.cases", least: "reviewer", tag: "case-page", load: () => import("./pages/case"), listed: false },
  { path: "/station", word: "place.station", least: "manager", tag: "station-page", load: () => import("./pages/station"), listed: true },
];

export interface Found {
  place: Place;
  values: Record<string, string>;
}

export function placeOf(path: string): Found | null {
  const parts = path.split("/").filter(Boolean);
  for (const place of places) {
    const wished = place.path.split("/").filter(Boolean);
    if (wished.length !== parts.length) continue;
    const values: Record<string, string> = {};
    const fits = wished.every((part, i) => {
      const given = parts[i] ?? "";
      if (!part.startsWith(":")) return part === given;
      values[part.slice(1)] = decodeURIComponent(given);
      return given !== "";
    });
    if (fits) return { place, values };
  }
  return null;
}

/** Goes to another place of the page; the frame hears it. */
export function go(path: string, replace = false) {
  if (replace) history.replaceState(null, "", path);
  else history.pushState(null, "", path);
  window.dispatchEvent(new Event("popstate"));
}
