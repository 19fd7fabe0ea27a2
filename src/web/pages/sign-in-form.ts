import { type Html, html } from "../html/html.js";

/** Signing in by password, or by the code of a sign-in elsewhere; `service/sign-in.ts` makes it work. */
export function signInForm(): Html {
  return html`<div id="sign-in-ways">
<form id="sign-in" class="choices">
<label>Handle <input name="handle" autocomplete="username" autocapitalize="none" spellcheck="false" required></label>
<label>Password <input name="password" type="password" autocomplete="current-password" required></label>
<button>Sign in</button></form>
<details id="elsewhere"><summary>Sign in with an identity provider instead</summary>
<ol><li><a id="begin-elsewhere" href="/v1/sign-ins/start" target="_blank" rel="noopener">Sign in there, in a new tab</a>. A service without a provider says so.</li>
<li>Copy the code that it ends with, and enter it here.</li></ol>
<form id="sign-in-code" class="choices">
<label>Code <input name="code" autocomplete="off" autocapitalize="none" spellcheck="false" required></label>
<label id="new-handle" hidden>Handle, for your new account <input name="newHandle" autocomplete="off" autocapitalize="none" spellcheck="false"></label>
<button>Sign in with the code</button></form></details></div>`;
}
