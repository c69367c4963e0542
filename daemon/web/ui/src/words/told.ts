// The daemon's English sentences, found again by their templates: "Microphone {name} is not heard any more." gives another
// language's sentence with the same values. Pure.
export type Templates = Record<string, string>;

interface Known {
  pattern: RegExp;
  holes: string[];
  sentence: string;
}
const prepared = new WeakMap<Templates, Known[]>();

function known(templates: Templates): Known[] {
  let found = prepared.get(templates);
  if (!found) {
    found = Object.entries(templates).map(([english, sentence]) => ({
      pattern: new RegExp(`^${english.split(/\{\w+\}/).map((piece) => piece.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("(.+?)")}$`),
      holes: [...english.matchAll(/\{(\w+)\}/g)].map(([, hole]) => hole as string),
      sentence,
    }));
    prepared.set(templates, found);
  }
  return found;
}

/** `fill` says a hole's value in the other language. Null: not known. */
export function translated(line: string, templates: Templates, fill: (hole: string, value: string) => string): string | null {
  if (line.includes("; ")) {
    // Sentences that the daemon joined; else one that has the sign in itself.
    const parts = line.split("; ").map((part) => translated(part, templates, fill));
    if (parts.every((part) => part !== null)) return parts.join("; ");
  }
  for (const { pattern, holes, sentence } of known(templates)) {
    const values = pattern.exec(line)?.slice(1);
    if (!values) continue;
    return sentence.replace(/\{(\w+)\}/g, (_, hole: string) => {
      const value = values[holes.indexOf(hole)] ?? "";
      return translated(value, templates, fill) ?? fill(hole, value);
    });
  }
  return null;
}

/** The daemon writes moments in UTC; people read them by the station's clock. */
export const localTimes = (line: string, at: (utc: string) => string) => line.replace(/\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z/g, at);
