import type { Finding } from "../../../core/model.js";
import { byId, element, show } from "../elements.js";
import type { EvaluatedLog } from "../log/messages.js";

const VERDICTS = {
  conforming: "The run conforms",
  "conforming-adjusted": "The run conforms, after adjustments",
  nonconforming: "The run does not conform",
} as const;

/** The verdict and every finding that is not a pass, each in the words of its rule. */
export function showVerdict({ evaluation, blocking }: EvaluatedLog): void {
  const { verdict, findings, adjustments, protocol, trace, log } = evaluation;
  const isBlocking = ({ rule }: Finding) => blocking.includes(rule);
  const others = findings.filter((finding) => !isBlocking(finding));
  const cutoff = trace.cutoffS === null ? "no cutoff" : `cutoff at ${trace.cutoffS.toFixed(1)} s`;
  byId("result").removeAttribute("aria-busy");
  show(
    byId("result"),
    element("h2", { id: "result-title", class: `verdict ${verdict}` }, VERDICTS[verdict]),
    element(
      "p",
      {},
      `${protocol.key} ${protocol.version}: ${log.rows} rows, ${trace.rateHz.toFixed(1)} Hz, ${trace.durationS.toFixed(1)} s under load, ${cutoff}, ended by ${trace.stop}.`,
    ),
    list("Does not conform because", findings.filter(isBlocking).map(findingLine), "bad"),
    list("Remarks", others.filter(({ outcome }) => outcome === "fail").map(findingLine), "open"),
    list("Not assessed", others.filter(({ outcome }) => outcome === "not-assessable").map(findingLine), "faint"),
    list(
      "Adjusted",
      adjustments.map(({ message }) => element("li", {}, message)),
      "faint",
    ),
    element(
      "p",
      { class: "small" },
      `${findings.filter(({ outcome }) => outcome === "pass").length} of ${findings.length} rules passed.`,
    ),
  );
}

const findingLine = ({ rule, message }: Finding): HTMLElement =>
  element("li", {}, element("strong", {}, `${rule}:`), ` ${message}`);

function list(title: string, lines: readonly HTMLElement[], kind: string): HTMLElement | false {
  if (lines.length === 0) return false;
  return element("div", { class: `findings ${kind}` }, element("h3", {}, title), element("ul", {}, ...lines));
}
