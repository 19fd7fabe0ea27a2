import { DatasetService } from "../../src/features/dataset/dataset.service.js";
import type { Descriptor } from "../support/downloaded.js";
import type { RecordingClient } from "./client.js";

/** The whole public record is taken away. */
export async function takeTheRecordAway(client: RecordingClient): Promise<void> {
  await client.app.nest.get(DatasetService).write();
  const { version, resources } = await client.get<Descriptor>("/v1/dataset");
  await client.get(`/v1/dataset/${version}/datapackage.json`);
  const packs = resources.find(({ format }) => format === "csv")?.path;
  await client.get(`/v1/${packs}`);
  await client.get(`/v1/${packs}`, { range: "bytes=0-63" });
}
