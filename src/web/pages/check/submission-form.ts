import { type Html, html } from "../../html/html.js";
import { signInForm } from "../sign-in-form.js";

/** Signing in, saying which pack and bench it was, and sending the log: the first that leaves the device. */
export function submissionForm(): Html {
  return html`<section id="submission" aria-labelledby="submission-title" hidden>
<h2 id="submission-title">Submit the run</h2>
<p>Submitting sends the log and what you entered to this service. The sign-in is kept in this page alone: it ends when you sign out,
leave the page, or the session runs out.</p>
${signInForm()}
<div id="signed-in" hidden>
<p><button type="button" class="plain" id="sign-out">Sign out</button></p>
<div id="unregistered" class="hint" hidden><p>Before you can submit, register <span id="unregistered-what"></span> at
<a href="/desk#specimens" target="_blank" rel="noopener">your desk, in a new tab</a>. The log and what you entered stay here meanwhile.</p>
<p><button type="button" class="plain" id="look-again">Look again</button></p></div>
<form id="submit" class="choices" hidden novalidate>
<label>Your pack <select name="specimenId" required></select></label>
<label>Your bench <select name="benchId" required></select></label>
<label>Test began <input name="startedAt" type="datetime-local" step="1"></label>
<button>Submit the run</button></form></div>
<p id="submission-status" role="status"></p>
</section>`;
}
