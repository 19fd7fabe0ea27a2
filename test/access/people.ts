import type { TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";
import type { Access } from "./rest-rows.js";

/** Those who try everything; keys hold every scope that they can have, but `readKey`, which only reads. */
export const ACTORS = [
  "anonymous",
  "stranger",
  "moderator",
  "administrator",
  "administratorsKey",
  "readKey",
  "owner",
] as const;
export type Actor = (typeof ACTORS)[number];

export interface People {
  readonly headers: Readonly<Record<Actor, Record<string, string>>>;
  /** A run of the owner that nobody has decided on. */
  readonly runId: string;
  readonly evaluationId: string;
  readonly specimenId: string;
  readonly packId: string;
}

export async function gather(app: TestApp): Promise<People> {
  const owner = await app.signIn("owner");
  const administrator = await app.signIn("ada", "administrator");
  const keyOf = async (headers: Record<string, string>, scopes: readonly string[]) => {
    const payload = { label: "trial", scopes };
    const answer = await app.inject({ method: "POST", url: "/v1/keys", payload, headers });
    return { authorization: `Bearer ${answer.json<{ key: string }>().key}` };
  };
  const { body } = await uploadCase(app, owner, "Private", "truth-4s-10hz");
  const { specimenId, specimen, currentEvaluationId } = await app.database.run.findUniqueOrThrow({
    where: { id: body.id },
    include: { specimen: true },
  });
  const headers = {
    anonymous: {},
    stranger: await app.signIn("stranger"),
    moderator: await app.signIn("mona", "moderator"),
    administrator,
    administratorsKey: await keyOf(administrator, ["read", "write", "review"]),
    readKey: await keyOf(owner, ["read"]),
    owner,
  };
  return { headers, runId: body.id, evaluationId: currentEvaluationId ?? "", specimenId, packId: specimen.packId };
}

/** What keeps somebody out: 401, 403, 404, or null when nothing of these does. */
export function expectedRefusal(access: Access, actor: Actor, needsSession: boolean, isRead: boolean): number | null {
  const isKey = actor === "administratorsKey" || actor === "readKey";
  if (actor === "anonymous") return access === "public" ? null : access === "run" && !needsSession ? 404 : 401;
  if (isKey && (access === "session" || access === "administrator")) return 403;
  if (actor === "readKey" && (!isRead || access === "moderator")) return 403;
  if (access === "moderator") return actor === "stranger" || actor === "owner" ? 403 : null;
  if (access === "administrator") return actor === "administrator" ? null : 403;
  if ((access === "run" || access === "own-run") && actor === "stranger") return 404;
  if (access === "own-run") return actor === "owner" ? null : 403;
  return null;
}
