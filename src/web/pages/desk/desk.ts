import { html } from "../../html/html.js";
import type { ShowPage } from "../../page.js";
import { signInForm } from "../sign-in-form.js";

/** What is one's own, and what moderators decide on: drawn in the browser once somebody has signed in there. */
export const showDesk: ShowPage = async () => ({
  title: "Your desk",
  scripts: ["page.js", "desk.js"],
  body: html`<h1>Your desk</h1>
<noscript><p class="hint">Your desk needs JavaScript: it keeps the sign-in in the memory of this page alone. Without it, use <a href="/docs">the API</a>.</p></noscript>
<section id="signed-out" aria-labelledby="sign-in-title"><h2 id="sign-in-title">Sign in</h2>
<p>Your runs with what was found, questions of moderators, notices, and how your bench reads beside others. Moderators decide here. The
sign-in is kept in this page alone: it ends when you sign out, leave the page, or the session runs out.</p>
${signInForm()}</section>
<div id="signed-in" class="desk-bar" hidden><nav aria-label="Desk"><ul id="desk-places"></ul></nav>
<p><span id="who"></span> <button type="button" class="plain" id="sign-out">Sign out</button></p></div>
<p id="desk-status" class="desk-status" role="status"></p>
<section id="desk-view"></section>`,
});
