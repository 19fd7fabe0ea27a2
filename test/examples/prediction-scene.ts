import { FORMS } from "../../src/platform/http/requests/forms.js";
import { EXACT_BENCH } from "../cross-checks/simulator/bench.js";
import { resistance, standardLoadOhm } from "../cross-checks/simulator/load.js";
import { drawPack } from "../cross-checks/simulator/populations.js";
import { simulateLog } from "../cross-checks/simulator/simulate-log.js";
import { specimenOf } from "../predictions/pooled-pack.js";
import type { Filed, Headers, Item, RecordingClient } from "./client.js";
import { isShown } from "./recorder.js";

const PACK = drawPack("B", "lipo", "p2");
const BENCH = {
  ...EXACT_BENCH,
  stated: { ...EXACT_BENCH.stated, voltage: { percent: 0.1, offset: 0.01 }, current: { percent: 0.5, offset: 0.1 } },
  rateHz: 5.5,
  voltage: { ...EXACT_BENCH.voltage, noise: 0.003, step: 0.001 },
  current: { ...EXACT_BENCH.current, noise: 0.1, step: 0.01 },
  temperature: { gain: 0, offset: 0, noise: 0.05, step: 0.1 },
};

/** What a model logged: rest, a load, half of it, and rest. */
const AMPERES = [0, 60, 30, 0].flatMap((amperes) => Array.from({ length: 8 }, () => amperes));
const MODEL_LOG = `time [s],voltage [V],current [A]\n${AMPERES.map((a, i) => `${i},${(16.5 - 0.01 * a).toFixed(2)},${a}`).join("\n")}\n`;

/** Runs of two testers make a model of a pack, which tells what it does under a use. */
export async function predict(
  client: RecordingClient,
  otherPackId: string,
  { anna, bert, mona }: Record<"anna" | "bert" | "mona", Headers>,
): Promise<void> {
  const annas = await upload(client, anna, mona, { of: PACK, share: 1 });
  await upload(client, anna, mona, { of: PACK, share: 0.35, filed: annas });
  await upload(client, bert, mona, { of: specimenOf(PACK, 1.01, 0.98), share: 0.9, packId: annas.packId });
  const powerW = Math.round(PACK.suitedLoadA * 3.5 * PACK.facts.series);
  const use = { steps: [{ seconds: 5, powerW }], repeats: 6, reserve: 0.1 };
  await client.get(`/v1/packs/${annas.packId}/model`);
  await client.get(`/v1/packs/${annas.packId}/validation`);
  await client.idle();
  await client.get("/v1/validation");
  await client.getForms("/v1/validation");
  const asked = { packIds: [annas.packId], use, of: "mean" };
  await client.post("/v1/predictions", asked);
  const log = new TextEncoder().encode(MODEL_LOG);
  await client.send("/v1/uses", { reading: { demand: "current" } }, [["log", "model.csv", log]], {});
  for (const [ending, { type }] of Object.entries(FORMS)) {
    await client.post(`/v1/predictions.${ending}`, asked);
    if (isShown(type)) await client.post("/v1/predictions", asked, { accept: type });
  }
  await client.get(`/v1/packs/${annas.packId}/energy-against-power`);
  await client.getForms(`/v1/packs/${annas.packId}/energy-against-power`);
  const two = `?packs=${annas.packId},${otherPackId}`;
  await client.get(`/v1/energy-against-power${two}`);
  await client.getForms("/v1/energy-against-power", two);
  const { chemistry, series } = PACK.facts;
  await client.post("/v1/selections", { class: { chemistry, series }, use, of: "mean", order: "mass" });
}

interface Simulated {
  readonly of: typeof PACK;
  readonly share: number;
  /** What was registered for a run before. */
  readonly filed?: Filed;
  /** The pack that another tester registered. */
  readonly packId?: string;
}

async function upload(
  client: RecordingClient,
  tester: Headers,
  moderator: Headers,
  { of, share, filed, packId }: Simulated,
): Promise<Filed> {
  const load = resistance(standardLoadOhm(PACK.facts.series, share * PACK.suitedLoadA));
  const simulated = { pack: of, load, bench: BENCH, seed: `example ${share}`, ambientC: 22, startC: 22 };
  const { csv, facts } = simulateLog(simulated);
  const conditions = { ambientC: 22, restMinutes: 30, cycles: 10, setpointA: null };
  const log = new TextEncoder().encode(csv);
  const described = { log, pack: facts.pack, bench: facts.bench, conditions };
  const place = filed ?? (await client.register(tester, "Current", described, packId));
  const { packId: _, ...ids } = place;
  const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...conditions };
  const { id } = await client.send<Item>("/v1/runs", { run }, [["log", "current.csv", log]], tester);
  const decision = { runIds: [id], decision: "accept", rules: [], note: "Steady throughout." };
  await client.post("/v1/reviews", decision, moderator);
  return place;
}
