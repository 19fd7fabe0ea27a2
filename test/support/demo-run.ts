import request from "supertest";
import { BENCHES, PACKS, produceRun, RUNS } from "../../seed/scenario.js";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import type { RunView } from "../../src/features/runs/runs.views.js";
import type { TestApp } from "./app.js";

/**
 * Uploads a run of the demo as its tester would, and waits until it was compared with all others.
 *
 * @returns id of the run
 */
export async function uploadDemoRun(
  app: TestApp,
  headers: Record<string, string>,
  key: string,
  more: Readonly<Record<string, unknown>> = {},
): Promise<string> {
  const run = RUNS.find((one) => one.key === key);
  if (!run) throw new Error(`the demo has no ${key}`);
  const register = async (url: string, payload: object): Promise<string> => {
    const answer = await app.inject({ method: "POST", url, payload, headers });
    const { id, existingId } = answer.json<{ id?: string; existingId?: string }>();
    return id ?? existingId ?? "";
  };
  const { trueCapacityShare: _, resistanceMilliohmAh: __, ...pack } = PACKS[run.pack];
  const packId = await register("/v1/packs", pack);
  const specimenId = await register("/v1/specimens", { packId, label: `${pack.name} no. 1`, cycles: run.cycles });
  const { label, facts } = BENCHES[run.bench];
  const benchId = await register("/v1/benches", { label, ...facts });
  const { fileName, mediaType, log, ...conditions } = produceRun(run);
  const { body } = await request(app.url)
    .post("/v1/runs")
    .set(headers)
    .field("run", JSON.stringify({ protocol: run.protocol, specimenId, benchId, ...conditions, ...more }))
    .attach("log", Buffer.from(log), { filename: fileName, contentType: mediaType });
  const { id } = body as RunView;
  await app.nest.get(CopiesService).awaitCheck(id);
  return id;
}
