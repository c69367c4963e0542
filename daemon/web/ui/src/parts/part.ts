// What every part of the page is: drawn into the page itself (one style for all), drawn anew when the language changes.
import { LitElement } from "lit";
import { RequestFailed } from "../api/client";
import { say, whenLanguageChanges } from "../words/words";

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

/** One line for people of what went wrong. */
export function lineOf(error: unknown): string {
  if (error instanceof RequestFailed) return error.status === 0 ? say("error.no_answer") : error.message;
  return error instanceof Error ? error.message : String(error);
}

/** How many times larger than on a desk all is drawn: a screen on the wall has larger letters. */
export const scale = () => parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
