import { html } from "../html/html.js";
import type { ShowPage } from "../page.js";
import { rankingSection } from "./rankings/rankings.js";

/** What this is, with the ranking of the class that most is known of. */
export const showFront: ShowPage = async (request) => ({
  title: "What packs really deliver",
  body: html`<section class="lead"><h1>What packs really deliver</h1>
<p>Hobby testers load lithium packs on the bench and share the logs. The same rules judge every log, and packs are ranked by what
several testers measured, not by the label.</p>
<p class="actions"><a class="button plain" href="/plan">Plan a test of your own</a><a class="button plain" href="/check">Check a log that you have</a></p></section>
${await rankingSection(request, "/rankings", "h2")}`,
});
