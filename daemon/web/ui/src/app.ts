// The frame around every page: who is here, where one can go, in which language.
import { html, nothing, type TemplateResult } from "lit";
import { customElement, state } from "lit/decorators.js";
import { unsafeStatic, html as staticHtml } from "lit/static-html.js";
import { get, logOut, may, recall, whenSessionEnds, whoIsHere } from "./api/client";
import { keepFirst } from "./api/first_live";
import type { Live } from "./api/types";
import { Part, troubleOf } from "./parts/part";
import { go, type Found, placeOf, places } from "./places";
import { languageNow, languages, say, sayOf, setTimezone, speak, speakAsBefore } from "./words/words";

const words = speakAsBefore();

@customElement("quiet-page")
class QuietPage extends Part {
  @state() private ready = false;
  @state() private trouble: unknown = null;
  /** Undefined: on its way there. */
  @state() private found: Found | null | undefined;
  @state() private station = "";

  override connectedCallback() {
    super.connectedCallback();
    whenSessionEnds(() => this.arrive());
    window.addEventListener("popstate", () => void this.arrive());
    this.addEventListener("click", followed);
    this.addEventListener("logged-in", () => void this.begin());
    void this.begin();
  }

  private async begin() {
    const station = get<Live>("/live"); // at the same time; refused where nobody is logged in
    station.catch(() => {});
    const session = recall();
    session.catch(() => {});
    await words;
    try {
      if (await session) this.meetStation(await station);
      this.trouble = null;
    } catch (error) {
      this.trouble = error;
    }
    this.ready = true;
    await this.arrive();
  }
  private meetStation(live: Live) {
    setTimezone(live.station.timezone);
    this.station = live.station.name;
    keepFirst(live);
  }

  private async arrive() {
    if (!whoIsHere()) {
      await import("./pages/login");
      this.found = undefined;
      document.title = `quietpass · ${say("login.title")}`;
      return;
    }
    const found = placeOf(location.pathname);
    if (found && may(found.place.least)) await found.place.load();
    const moved = this.found !== undefined && this.found?.place !== found?.place;
    this.found = found;
    document.title = `${found ? say(found.place.word) : "quietpass"} · ${this.station}`;
    await this.updateComplete;
    this.querySelector(".rail [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
    if (moved) this.querySelector<HTMLElement>("main")?.focus();
  }

  private async leave() {
    try {
      await logOut();
    } catch (error) {
      this.trouble = error;
      return;
    }
    go("/");
  }

  override render() {
    if (!this.ready) return html`<main aria-busy="true"></main>`;
    const session = whoIsHere();
    if (!session) {
      return html`<main>${this.troubleLine()}<login-page></login-page></main>${this.foot()}`;
    }
    const listed = places.filter((place) => place.listed && may(place.least));
    const rail = listed.length > 1;
    return html`<div class="frame ${rail ? "with-rail" : ""}">
      <header class="mast">
        <a class="skip" href="#main">${say("frame.skip")}</a>
        <img class="mark" src="/mark.svg" alt="">
        <span class="station">${this.station}</span>
        <span class="spring"></span>
        ${this.languageButtons()}
        <span class="small soft who">${session.name} · ${sayOf("role", session.role)}</span>
        <button @click=${this.leave}>${say("frame.leave")}</button>
      </header>
      ${rail
        ? html`<nav class="rail" aria-label=${say("frame.places")}>
            ${listed.map((place) => html`<a href=${place.path} aria-current=${this.isAt(place.path) ? "page" : nothing}>${say(place.word)}</a>`)}
          </nav>`
        : nothing}
      <div>
        <main id="main" tabindex="-1">${this.troubleLine()}${this.inside()}</main>
        ${this.foot()}
      </div>
    </div>`;
  }

  private isAt(path: string) {
    return path === "/" ? location.pathname === "/" : location.pathname === path || location.pathname.startsWith(`${path}/`);
  }
  private inside(): TemplateResult {
    if (this.found === undefined) return html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    if (!this.found) return this.sign(say("frame.nowhere_title"), say("frame.nowhere"));
    if (!may(this.found.place.least)) return this.sign(say("frame.may_not_title"), say("frame.may_not"));
    const tag = unsafeStatic(this.found.place.tag);
    return staticHtml`<${tag} .values=${this.found.values}></${tag}>`;
  }
  private sign(title: string, words: string) {
    return html`<div class="stack sign"><h1>${title}</h1><p class="trouble">${words}</p><p><a class="button main" href="/">${say("frame.home")}</a></p></div>`;
  }
  private languageButtons() {
    return html`<div class="row" role="group" aria-label=${say("frame.language")}>
      ${languages.filter((language) => language !== languageNow()).map((language) => html`<button class="plain" lang=${language} @click=${() => void speak(language)}>${language === "en" ? "English" : "Español"}</button>`)}
    </div>`;
  }
  private troubleLine() {
    return troubleOf(this.trouble);
  }
  private foot() {
    return html`<footer class="foot">${whoIsHere() ? nothing : this.languageButtons()}<p>${say("frame.caution")}</p></footer>`;
  }
}

/** Links within the page change the place without loading it anew. */
function followed(event: MouseEvent) {
  if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey) return;
  const link = event.composedPath().find((node): node is HTMLAnchorElement => node instanceof HTMLAnchorElement);
  if (!link || link.target || link.hasAttribute("download") || link.origin !== location.origin) return;
  if (link.hash || link.pathname.startsWith("/api/")) return;
  event.preventDefault();
  go(link.pathname + link.search);
}

declare global {
  interface HTMLElementTagNameMap {
    "quiet-page": QuietPage;
  }
}
