import { element, show } from "../../elements.js";
import { optionsOf } from "../../options.js";
import { Refusal } from "../../service/service.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";
import { type Overlaid, overlaidTraces } from "./overlaid.js";

type Evidence = View<"EvidenceSummaryView">;
type OtherRun = View<"RunListItem">;

const POINTS = 200;
const MAX_OTHERS = 5;

/** The run's trace over those of runs that look like it, and of the pack's other runs under its protocol. */
export async function traceSection(evidence: Evidence, desk: DeskWork): Promise<HTMLElement> {
  const others = await othersOf(evidence, desk);
  const load = evidence.figures.find((one) => typeof one.load === "number")?.load ?? null;
  const drawn = element("div", {});
  const draw = async (chosen: number | null) => show(drawn, ...(await tracesOf(evidence, others, chosen, desk)));
  const texts = {
    "": "each under its own load",
    ...(load === null ? {} : { [load]: `all under the standard load of ${load} A` }),
  };
  const choice = element("select", {}, ...optionsOf(texts, String(load ?? "")));
  choice.addEventListener("change", () => desk.during(() => draw(choice.value === "" ? null : Number(choice.value))));
  await draw(load);
  return element(
    "section",
    { "aria-labelledby": "traces-title" },
    element("h3", { id: "traces-title" }, "Its trace over the others"),
    element(
      "p",
      { class: "small" },
      others.length === 0 ? "This pack has no other run under this protocol that may be drawn." : "",
    ),
    load !== null && element("p", {}, element("label", {}, "Drawn", choice)),
    drawn,
  );
}

async function othersOf({ runId, pack, protocol, copies }: Evidence, { session }: DeskWork): Promise<OtherRun[]> {
  const fields = "id,tester,review,protocol";
  const [{ items }, ...copied] = await Promise.all([
    session.get<Listed<OtherRun>>(
      `/v1/packs/${pack.id}/runs?protocol=${protocol.key}&first=${MAX_OTHERS + 1}&fields=${fields}`,
    ),
    ...copies.slice(0, 2).map((copy) => session.get<OtherRun>(`/v1/runs/${copy.runId}`)),
  ]);
  const known = new Set([runId, ...copied.map(({ id }) => id)]);
  return [...copied, ...items.filter(({ id }) => !known.has(id))].slice(0, MAX_OTHERS);
}

async function tracesOf(
  { runId, tester, copies }: Evidence,
  others: readonly OtherRun[],
  load: number | null,
  { session }: DeskWork,
): Promise<HTMLElement[]> {
  const copied = new Set(copies.map((copy) => copy.runId));
  const names: readonly (readonly [id: string, name: string])[] = [
    [runId, `This run, by ${tester.handle}`],
    ...others.map(
      ({ id = "", tester, review }) =>
        [id, `${tester?.handle ?? "somebody"}, ${review}${copied.has(id) ? ", looks the same" : ""}`] as const,
    ),
  ];
  const traces = await Promise.all(
    names.map(async ([id, name]): Promise<Overlaid | string> => {
      const under = load === null ? "" : `&load=${load}`;
      try {
        const trace = await session.get<View<"TraceView">>(
          `/v1/runs/${id}/trace?points=${POINTS}&channels=voltage,current${under}`,
        );
        return { name, trace };
      } catch (error) {
        // One that cannot be drawn under this load is named; the others are drawn.
        if (error instanceof Refusal && error.status !== 401) return name;
        throw error;
      }
    }),
  );
  const missing = traces.filter((one) => typeof one === "string");
  return [
    ...overlaidTraces(traces.filter((one) => typeof one !== "string")),
    ...(missing.length > 0 ? [element("p", { class: "small" }, `Not to be drawn so: ${missing.join("; ")}.`)] : []),
  ];
}
