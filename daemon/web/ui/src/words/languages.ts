// The languages of the page, and where each one's texts come from. Only the one that is spoken is fetched.
import type { Templates } from "./told";

export type Language = "en" | "es";
export const languages: readonly Language[] = ["en", "es"];

/** The daemon's own sentences are English; another language has them by template. */
export const fetched: Record<Language, () => Promise<{ texts: Record<string, string>; told: Templates | null }>> = {
  en: async () => ({ texts: (await import("./en.json")).default, told: null }),
  es: async () => {
    const [texts, told] = await Promise.all([import("./es.json"), import("./told_es.json")]);
    return { texts: texts.default, told: told.default };
  },
};

/** How numbers and dates are written: as in the region that the browser is set to, first of all for this language. */
export function localeOf(language: Language, wished: readonly string[]): string {
  const known = wished.flatMap(localeFrom);
  const own = known.filter((one) => one.language === language);
  if (own.length > 0) return (own.find((one) => one.region) ?? own[0])?.toString() ?? language;
  const region = known.find((one) => one.region)?.region;
  return region ? `${language}-${region}` : language;
}
function localeFrom(tag: string): Intl.Locale[] {
  try {
    return [new Intl.Locale(tag)];
  } catch {
    return []; // some browsers name what is no language
  }
}

/** As it was chosen here before, or as the browser is set. */
export function wishedLanguage(): Language {
  let kept: string | null = null;
  try {
    kept = localStorage.getItem("language");
  } catch {
    // a browser that keeps nothing
  }
  return (kept ?? navigator.language.slice(0, 2)) === "es" ? "es" : "en";
}
