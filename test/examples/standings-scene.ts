import { StoredRuns } from "../support/stored-runs.js";
import type { Headers, RecordingClient } from "./client.js";

/** Testers of one pack disagree: a moderator decides on the standing that is disputed and on the result that is held. */
export async function decideOnStandings(client: RecordingClient, mona: Headers): Promise<void> {
  const runs = new StoredRuns(client.app);
  for (const [handle, power] of [
    ["dora", 1],
    ["emil", 1.04],
    ["finn", 1.2],
  ] as const) {
    await runs.add(handle, "Shrike", { power });
    await client.post(`/v1/testers/${handle}/vouch`, { note: "A bench that we know." }, mona);
    await runs.settled();
  }
  await client.get("/v1/standing-reviews", mona);
  const of = { packId: await runs.pack("Shrike"), protocol: "full-load" };
  const kept = { ...of, decision: "keep-shown", note: "The second bench is being calibrated." };
  await client.post("/v1/standing-reviews/disputes", kept, mona);
  const aside = { ...of, tester: "finn", decision: "set-aside", note: "Logged with the wrong divider." };
  await client.post("/v1/standing-reviews/held-results", aside, mona);
}
