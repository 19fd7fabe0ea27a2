import { address, type Html, html } from "../../html/html.js";
import { plainNumber } from "../../html/quantity.js";
import { className } from "../../html/words.js";
import { classKey, type RankingChoice } from "./choice.js";

/** What the ranking is of: class and figure to choose, and the loads of the class to point at. */
export function choiceForm({ figure, figures, classes, ofClass, load }: RankingChoice, path: string): Html {
  const here = classKey(ofClass);
  return html`<form class="choices" action="${path}" method="get">
<label>Class <select name="class">${classes.map(
    (one) =>
      html`<option value="${classKey(one)}"${classKey(one) === here && html` selected`}>${className(one)} \u00b7 ${one.packs} ${one.packs === 1 ? "pack" : "packs"}</option>`,
  )}</select></label>
<label>Ranked by <select name="figure">${figures.map(
    ({ key, title }) => html`<option value="${key}"${key === figure.key && html` selected`}>${title}</option>`,
  )}</select></label>
<button>Show</button></form>
${loads(ofClass.loads, load, (chosen) => address(path, { class: here, figure: figure.key, load: chosen }))}`;
}

function loads(
  known: RankingChoice["ofClass"]["loads"],
  chosen: number | null,
  addressOf: (load: number) => string,
): Html | false {
  const shown = known.flatMap((one) => (typeof one.load === "number" ? [{ ...one, load: one.load }] : []));
  return (
    shown.length > 0 &&
    html`<nav class="loads" aria-label="Standard load"><span>Standard load</span><ul>${shown.map(
      ({ load, standings }) =>
        html`<li><a href="${addressOf(load)}"${load === chosen && html` aria-current="true"`}>${plainNumber(load)} A <span class="small">${standings}<span class="unseen"> ${standings === 1 ? "pack" : "packs"}</span></span></a></li>`,
    )}</ul></nav>`
  );
}
