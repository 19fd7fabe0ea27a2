import type { ServiceClient } from "../session/service-client.js";
import { UsageError } from "../usage-error.js";

type Declared = Readonly<Record<string, unknown>>;

/**
 * The `run` part of an upload from a run file: specimen and bench by id, or by the label that they have at the service.
 * A description of pack and bench that is there for checks is left out.
 */
export async function runToUpload(client: ServiceClient, declared: Declared): Promise<Declared> {
  const { specimen, bench, pack: _, ...run } = declared;
  const specimenId = run.specimenId ?? (await idOfLabel(client, "specimens", labelOf(specimen, "specimen")));
  const benchId = run.benchId ?? (await idOfLabel(client, "benches", labelOf(bench, "bench")));
  return { ...run, specimenId, benchId };
}

function labelOf(thing: unknown, member: string): string {
  if (typeof thing === "string") return thing;
  if (typeof thing === "object" && thing !== null && "label" in thing && typeof thing.label === "string")
    return thing.label;
  throw new UsageError(
    `The run file must say which ${member} it was: \`${member}Id\`, or \`${member}\` with its label.`,
  );
}

async function idOfLabel(client: ServiceClient, kind: "specimens" | "benches", label: string): Promise<string> {
  const ids: string[] = [];
  for await (const item of client.list(`/v1/${kind}`)) if (item.label === label) ids.push(String(item.id));
  const [id] = ids;
  if (id !== undefined && ids.length === 1) return id;
  const what =
    ids.length === 0 ? `You have none of the label "${label}"` : `You have ${ids.length} of the label "${label}"`;
  throw new UsageError(`${what} among your ${kind} at ${client.server}. Register it first, or write its id.`);
}
