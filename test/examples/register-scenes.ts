import { logCase } from "../support/uploads.js";
import type { Headers, RecordingClient } from "./client.js";

/** What was registered twice and wrongly is corrected, moved and merged; a moderator holds it against the product. */
export async function putRegisterRight(
  client: RecordingClient,
  packId: string,
  { anna, mona }: Record<"anna" | "mona", Headers>,
): Promise<void> {
  const heron = await client.register(anna, "Heron", logCase("plain-20hz"));
  const mass = { massGrams: 548, reason: "Weighed again, with its leads." };
  await client.ask({ method: "PATCH", url: `/v1/packs/${heron.packId}`, body: mass }, anna);
  const age = { cycles: 14, reason: "Two cycles were left out." };
  await client.ask({ method: "PATCH", url: `/v1/specimens/${heron.specimenId}`, body: age }, anna);
  const meter = { current: { percent: 0.5, offset: 0.02 }, reason: "Another shunt, held against a calibrated one." };
  await client.ask({ method: "PATCH", url: `/v1/benches/${heron.benchId}`, body: meter }, anna);
  const runId = await client.upload(anna, heron, "spikes");
  const move = { packId, note: "Two bags side by side: I took the wrong one." };
  await client.ask({ method: "PATCH", url: `/v1/runs/${runId}`, body: move }, anna);
  const place = `/v1/packs/${heron.packId}`;
  await client.post(`${place}/confirmation`, { checked: ["label", "mass"], reason: "A picture of the label." }, mona);
  await client.ask({ method: "DELETE", url: `${place}/confirmation` }, mona);
  await client.post(`${place}/hiding`, { reason: "Its label cannot be read." }, mona);
  await client.ask({ method: "DELETE", url: `${place}/hiding` }, mona);
  await client.get(`${place}/similar`, mona);
  await client.post(`${place}/merge`, { into: packId, reason: "The same pack, sold under two names." }, mona);
  await client.get(`/v1/packs/${packId}/merged`, mona);
  await client.ask({ method: "DELETE", url: `${place}/merge` }, mona);
  await client.post("/v1/accounts/bert/suspension", { reason: "Five packs that nobody sells." }, mona);
  await client.ask({ method: "DELETE", url: "/v1/accounts/bert/suspension" }, mona);
}

/** The next test is planned, and what the record holds of a tester is taken away. */
export async function planAndTakeAway(client: RecordingClient, packId: string, tester: Headers): Promise<void> {
  await client.get(`/v1/plans?protocol=full-load&packId=${packId}`);
  await client.get("/v1/accounts/me/export", tester);
}

/** A new pack is measured unseen until its round closes, and the cause of a withdrawal is accepted. */
export async function measureUnseen(
  client: RecordingClient,
  { anna, mona }: Record<"anna" | "mona", Headers>,
): Promise<void> {
  const petrel = await client.register(anna, "Petrel", logCase("plain-20hz"));
  const closesAt = new Date(Date.now() + 14 * 86_400_000).toISOString();
  const round = { closesAt, note: "New this spring: nobody has seen a result of it." };
  await client.post(`/v1/packs/${petrel.packId}/sealed-round`, round, mona);
  const runId = await client.upload(anna, petrel, "plain-20hz");
  await client.get("/v1/sealed-rounds?open=true");
  await client.ask({ method: "DELETE", url: `/v1/runs/${runId}` }, anna);
  const cause = { note: "The balancing lead had come loose; the photo shows it." };
  await client.post(`/v1/runs/${runId}/withdrawal-excuse`, cause, mona);
}
