// Who are you?
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { logIn } from "../api/client";
import { Part, troubleOf } from "../parts/part";
import { say } from "../words/words";

@customElement("login-page")
export class LoginPage extends Part {
  @state() private trouble: unknown = null;
  @state() private busy = false;

  private async enter(event: SubmitEvent) {
    event.preventDefault();
    const given = new FormData(event.target as HTMLFormElement);
    this.busy = true;
    this.trouble = null;
    try {
      await logIn(String(given.get("name")), String(given.get("password")));
      this.dispatchEvent(new Event("logged-in", { bubbles: true }));
    } catch (error) {
      this.trouble = error;
    }
    this.busy = false;
  }

  override render() {
    return html`<div class="door">
      <div class="row"><img class="mark" src="/mark.svg" alt=""><h1>${say("login.title")}</h1></div>
      <form @submit=${this.enter}>
        <label>${say("login.name")}<input name="name" autocomplete="username" autocapitalize="none" required></label>
        <label>${say("login.password")}<input name="password" type="password" autocomplete="current-password" required></label>
        ${troubleOf(this.trouble)}
        <button class="main" ?disabled=${this.busy}>${say("login.enter")}</button>
      </form>
    </div>`;
  }
}
