import { type Html, html } from "../../html/html.js";

/** Signing in, saying which pack and bench it was, and sending the log: the first that leaves the device. */
export function submissionForm(): Html {
  return html`<section id="submission" aria-labelledby="submission-title" hidden>
<h2 id="submission-title">Submit the run</h2>
<p>Submitting sends the log and what you entered to this service. The sign-in lasts until you leave this page.</p>
<form id="sign-in" class="choices">
<label>Handle <input name="handle" autocomplete="username" autocapitalize="none" spellcheck="false" required></label>
<label>Password <input name="password" type="password" autocomplete="current-password" required></label>
<button>Sign in</button></form>
<form id="submit" class="choices" hidden>
<label>Your pack <select name="specimenId" required></select></label>
<label>Your bench <select name="benchId" required></select></label>
<label>Test began <input name="startedAt" type="datetime-local" step="1"></label>
<button>Submit the run</button></form>
<p id="submission-status" role="status"></p>
</section>`;
}
