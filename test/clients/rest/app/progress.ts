import { EventSourceParserStream } from "eventsource-parser/stream";
import type createClient from "openapi-fetch";
import type { components, paths } from "./generated/contract.js";

export type Progress = components["schemas"]["RunProgressView"];

/** How far the evaluation of a run has come, until its end (server-sent events). */
export async function* follow(client: ReturnType<typeof createClient<paths>>, id: string): AsyncGenerator<Progress> {
  const answer = await client.GET("/v1/runs/{id}/events", { params: { path: { id } }, parseAs: "stream" });
  if (answer.error) throw new Error(`${answer.error.status} ${answer.error.code}`);
  const events = answer.response.body?.pipeThrough(new TextDecoderStream()).pipeThrough(new EventSourceParserStream());
  for await (const { data } of events ?? []) yield JSON.parse(data);
}
