import { type Html, html } from "../../html/html.js";

/** Signing in, saying which pack and bench it was, and sending the log: the first that leaves the device. */
export function submissionForm(): Html {
  return html`<section id="submission" aria-labelledby="submission-title" hidden>
<h2 id="submission-title">Submit the run</h2>
<p>Submitting sends the log and what you entered to this service. The sign-in is kept in this page alone: it ends when you sign out,
leave the page, or the session runs out.</p>
<div id="sign-in-ways">
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
<button>Sign in with the code</button></form></details></div>
<div id="signed-in" hidden>
<p><button type="button" class="plain" id="sign-out">Sign out</button></p>
<div id="unregistered" class="hint" hidden><p>Before you can submit, register <span id="unregistered-what"></span> through <a href="/docs">the API</a>.
The log and what you entered stay here meanwhile.</p>
<p><button type="button" class="plain" id="look-again">Look again</button></p></div>
<form id="submit" class="choices" hidden novalidate>
<label>Your pack <select name="specimenId" required></select></label>
<label>Your bench <select name="benchId" required></select></label>
<label>Test began <input name="startedAt" type="datetime-local" step="1"></label>
<button>Submit the run</button></form></div>
<p id="submission-status" role="status"></p>
</section>`;
}
