// What every part of the page is: drawn into the page itself (one style for all), drawn anew when the language changes.
import { html, LitElement, nothing } from "lit";
import { RequestFailed } from "../api/client";
import { languageNow, say, told, whenLanguageChanges } from "../words/words";

export class Part extends LitElement {
  private forget: () => void = () => {};

  protected override createRenderRoot() {
    return this;
  }
  override connectedCallback() {
    super.connectedCallback();
    this.forget = whenLanguageChanges(() => this.requestUpdate());
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    this.forget();
  }
}

/** What the daemon says, in the reader's language if its words are known. */
export function toldLine(line: string) {
  const { words, lang } = told(line);
  return lang === languageNow() ? html`${words}` : html`<span lang=${lang}>${words}</span>`;
}

/** What went wrong and what to do about it; nothing where nothing did. */
export function troubleOf(error: unknown) {
  if (!error) return nothing;
  return html`<p class="trouble" role="alert">${troubleWords(error)}</p>`;
}
function troubleWords(error: unknown) {
  if (!(error instanceof RequestFailed)) return error instanceof Error ? error.message : String(error);
  if (error.status === 0) return say("error.no_answer");
  if (!error.toDo) return toldLine(error.what);
  return html`${toldLine(error.what)}: ${toldLine(error.toDo)}`;
}

/** How many times larger than on a desk all is drawn: a screen on the wall has larger letters. */
export const scale = () => parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
