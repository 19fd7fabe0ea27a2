import { shownValue } from "../../../core/uncertainty/digits.js";
import { drawing, element } from "../elements.js";
import type { View } from "../service/view.js";
import type { DeskView } from "./desk-work.js";
import { counted } from "./texts.js";

const NAMES: Readonly<Record<View<"CalibrationView">["quantity"], string>> = {
  power: "power",
  capacity: "charge",
  resistance: "resistance",
};
const [WIDTH, HEIGHT, MIDDLE] = [320, 34, 160];

/** How one's own bench reads beside the others that measured the same packs. */
export const showCalibration: DeskView = async ({ session }) => {
  const { items } = await session.get<View<"CalibrationListView">>("/v1/accounts/me/calibration");
  const widest = Math.max(1, ...items.map((one) => Math.abs(one.biasPercent) + one.expandedUncertaintyPercent));
  return [
    element("h2", {}, "How your bench reads"),
    element(
      "p",
      {},
      "From packs that others have measured too. It corrects no value of yours: look for the cause at your bench.",
    ),
    items.length === 0
      ? element(
          "p",
          { class: "empty" },
          "Nothing can be said yet: nobody else has an accepted run of a pack that you have measured.",
        )
      : element("ul", { class: "answers" }, ...items.map((one) => calibrationOf(one, widest))),
  ];
};

function calibrationOf(one: View<"CalibrationView">, widest: number): HTMLElement {
  const { quantity, biasPercent, expandedUncertaintyPercent, packs, others } = one;
  const isTold = Math.abs(biasPercent) > expandedUncertaintyPercent;
  const shown = shownValue(Math.abs(biasPercent), expandedUncertaintyPercent);
  const direction = Number(shown.value) === 0 ? "off" : biasPercent > 0 ? "high" : "low";
  const reads = `Your ${NAMES[quantity]} reads ${shown.value} \u00b1 ${shown.uncertainty} % ${direction}`;
  return element(
    "li",
    { class: `answer ${isTold ? "fails" : "holds"}` },
    element("h3", {}, `${reads}.`),
    element(
      "p",
      {},
      `Against ${counted(packs, "pack")} measured by ${counted(others, "other tester", "other testers")}. ${isTold ? "That is more than its uncertainty." : "That is within its uncertainty: no difference can be told."}`,
    ),
    interval(biasPercent, expandedUncertaintyPercent, widest, reads),
  );
}

function interval(bias: number, half: number, widest: number, title: string): SVGSVGElement {
  const x = (percent: number) => MIDDLE + (percent / widest) * (MIDDLE - 12);
  return drawing(
    "svg",
    { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, class: "bias", role: "img", "aria-label": title },
    drawing("line", { class: "zero", x1: MIDDLE, x2: MIDDLE, y1: 2, y2: 20 }),
    drawing("line", { class: "range", x1: x(bias - half), x2: x(bias + half), y1: 11, y2: 11 }),
    drawing("circle", { cx: x(bias), cy: 11, r: 5 }),
    drawing("text", { x: MIDDLE, y: 32, "text-anchor": "middle" }, "0"),
    drawing("text", { x: 12, y: 32 }, `\u2212${widest.toPrecision(2)} %`),
    drawing("text", { x: WIDTH - 12, y: 32, "text-anchor": "end" }, `+${widest.toPrecision(2)} %`),
  );
}
