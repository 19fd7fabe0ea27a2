import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";

export type Reevaluation = View<"ReevaluationView">;

/** How often it is asked how far one has come, ms. */
const EVERY_MS = 1000;

/**
 * How far a re-evaluation at work has come, asked every second while its view is shown, with a button that cancels it.
 *
 * @param ended told the re-evaluation once it works no more
 */
export function followed(
  reevaluation: Reevaluation,
  desk: DeskWork,
  ended: (reevaluation: Reevaluation) => Promise<void> | void,
): HTMLElement {
  const bar = element("progress", { max: 1, "aria-label": "Runs evaluated" });
  const text = element("span", {});
  const { signal } = desk;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const show = ({ done, total, failed }: Reevaluation) => {
    bar.max = Math.max(total, 1);
    bar.value = done;
    text.textContent = ` ${done} of ${total} runs${failed > 0 ? `, ${failed} of them could not be evaluated` : ""}`;
  };
  const take = async (now: Reevaluation) => {
    show(now);
    if (now.state === "evaluating") timer = setTimeout(look, EVERY_MS);
    else await ended(now);
  };
  const look = () =>
    void desk.during(async () => {
      if (signal.aborted) return;
      const now = await desk.session.get<Reevaluation>(`/v1/reevaluations/${reevaluation.id}`);
      if (!signal.aborted) await take(now);
    });
  const cancel = button(
    "Cancel it",
    () =>
      desk.during(async () => {
        clearTimeout(timer);
        const now = await desk.session.send<Reevaluation>("DELETE", `/v1/reevaluations/${reevaluation.id}`);
        await ended(now);
        desk.say("Cancelled: nothing has changed by it.");
      }),
    { class: "plain" },
  );
  show(reevaluation);
  timer = setTimeout(look, EVERY_MS);
  signal.addEventListener("abort", () => clearTimeout(timer));
  return element("div", { class: "progress" }, element("p", {}, bar, text), element("p", { class: "actions" }, cancel));
}
