import type { PackPlaceView } from "../../src/features/rankings/pack-places.views.js";
import { RUN_MEMBERS } from "../../src/features/runs/run-list.views.js";
import type { TestApp } from "./app.js";

type Things = ReadonlyMap<string, unknown>;

/** Everything of a list of the API, page after page. */
async function allOf<T>(app: TestApp, url: string): Promise<T[]> {
  const items: T[] = [];
  for (let after = ""; ; ) {
    const answer = await app.inject({ url: `${url}${url.includes("?") ? "&" : "?"}first=100${after}` });
    const page = answer.json<{ items: T[]; pageInfo: { endCursor: string; hasNextPage: boolean } }>();
    items.push(...page.items);
    if (!page.pageInfo.hasNextPage) return items;
    after = `&after=${page.pageInfo.endCursor}`;
  }
}

/** What anybody may read, by the API's other reads. Testers are those with a run in it or a withdrawn one. */
export async function readPublicRecord(app: TestApp, handles: readonly string[]) {
  const byId = <T extends { readonly id: string }>(items: readonly T[]): Things =>
    new Map(items.map((one) => [one.id, one]));
  const packs = await allOf<{ id: string }>(app, "/v1/packs");
  const runs = await allOf<{ id: string }>(app, `/v1/runs?fields=${RUN_MEMBERS.join(",")}`);
  const testers = new Map<string, unknown>();
  for (const handle of handles) {
    const answer = await app.inject({ url: `/v1/testers/${handle}` });
    if (answer.statusCode !== 200) continue;
    const record = answer.json<{ id: string; runs: number; withdrawals: unknown[] }>();
    if (record.runs > 0 || record.withdrawals.length > 0) testers.set(record.id, record);
  }
  const standings = new Map<string, unknown>();
  for (const { id } of packs) {
    const places = await allOf<PackPlaceView>(app, `/v1/packs/${id}/standings`);
    if (places.length > 0) standings.set(id, places.map(withoutPlace));
  }
  return { pack: byId(packs), run: byId(runs), tester: testers, standings };
}

/** A place depends on other packs; a pack's own standing has none. */
export function withoutPlace({ place: _, placeRange: __, coverageFactor: ___, ...value }: PackPlaceView) {
  return value;
}
