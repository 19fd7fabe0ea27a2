import type { LadderView } from "../../features/ladders/ladders.views.js";
import type { StandingView } from "../../features/rankings/rankings.views.js";
import { knownValue } from "../known-value.js";
import { anyone, type ServerOption } from "../session/client-of.js";
import { textTable } from "../text-table.js";

const digits = (value: number): string => String(Number(value.toPrecision(4)));

/** Shows the steps of a specimen's ladder, and the current that it sustains. */
export async function ladder(specimenId: string, at: ServerOption): Promise<void> {
  const client = await anyone(at);
  const found = await client.get<LadderView>(`/v1/ladders/${encodeURIComponent(specimenId)}`);
  const rows = found.steps
    .toSorted((a, b) => a.currentA - b.currentA)
    .map(({ currentA, runtimeS, highestC, stop, passes, review, runId }) => [
      digits(currentA),
      digits(runtimeS),
      digits(highestC),
      stop,
      `${passes ? "passes" : "fails"}${review === "withdrawn" ? ", withdrawn" : ""}`,
      runId,
    ]);
  console.log(textTable(["A", "s", "highest degC", "ended by", "", "run"], rows));
  const { verified } = found;
  if (!verified) return;
  const sign = { none: "", lower: ">= ", upper: "<= " }[verified.bound];
  console.log(`verified continuous current ${sign}${knownValue(verified.value, 2 * verified.uncertainty)} A`);
}

export interface RankingsOptions extends ServerOption {
  readonly chemistry?: string;
  readonly series?: string;
  readonly load?: number;
  readonly all?: boolean;
  readonly first: string;
}

/** Shows the packs of a class in the order of a figure. */
export async function rankings(
  figure: string,
  { chemistry, series, load, all, first, ...at }: RankingsOptions,
): Promise<void> {
  const client = await anyone(at);
  const query = new URLSearchParams({ first, standing: all ? "all" : "established" });
  for (const [name, value] of Object.entries({ chemistry, series, load }))
    if (value !== undefined) query.set(name, String(value));
  const { items } = await client.get<{ items: StandingView[] }>(`/v1/rankings/${encodeURIComponent(figure)}?${query}`);
  if (items.length === 0) {
    return console.log(
      `No pack has ${all ? "a" : "an established"} standing there.${all ? "" : " See provisional ones with --all."}`,
    );
  }
  const rows = items.map((one) => [
    String(one.place ?? "-"),
    `${one.pack.maker} ${one.pack.name}`,
    `${knownValue(one.value, one.coverageFactor * one.uncertainty)} ${one.unit}`,
    one.load === null ? "own" : `${one.load} A`,
    String(one.testers),
    one.established ? "established" : "provisional",
  ]);
  console.log(textTable(["place", "pack", "value +- U", "load", "testers", ""], rows));
}
