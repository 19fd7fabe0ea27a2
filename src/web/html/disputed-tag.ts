import { html } from "./html.js";

/** Says of a standing's value that what the results give has left it. */
export const DISPUTED_TAG = html`<span class="tag disputed" title="The confirmed value stays, what the results give has left it, and a moderator decides">disputed</span>`;
