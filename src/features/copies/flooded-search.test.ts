import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { logCase, postForm, register } from "../../../test/support/uploads.js";
import { KIND_SHIFT } from "../../core/copies/hashes.js";
import { sortedByHash } from "../../core/copies/sorted-hashes.js";
import { FIRST_COURSE } from "../../core/copies/windows.js";
import { CopiesRepository } from "./copies.repository.js";
import { CopiesService } from "./copies.service.js";

/** More than a search has places for. */
const DECOYS = 60;
/** As `copies.repository.ts` has them. */
const MAX_OF_KIND = { standing: 40, withdrawn: 20, idle: 8 };
const MAX_ALIKE = 6;
const hashAt = (i: number) => (FIRST_COURSE << KIND_SHIFT) | (5_000 + i);
const HASHES = 12;

const KINDS = {
  standing: { review_state: "pending", withdrawn_from: null, withdrawal: 0 },
  withdrawn: { review_state: "withdrawn", withdrawn_from: "pending", withdrawal: 1 },
  idle: { review_state: "withdrawn", withdrawn_from: null, withdrawal: 1 },
} as const;
type Kind = keyof typeof KINDS;

let app: TestApp;
let copies: CopiesRepository;
let original: string;
beforeAll(async () => {
  app = await startTestApp();
  copies = app.nest.get(CopiesRepository);
  const headers = await app.signIn("anna");
  const found = logCase("plain-20hz");
  const { packId: _, ...ids } = await register(app, headers, "Sprint", found);
  const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...found.conditions };
  const { body } = await postForm(`${app.url}/v1/runs`, run, found.log, { headers });
  original = body.id;
  await app.nest.get(CopiesService).awaitCheck(original);
});
afterAll(() => app.close());

/** Runs of the original's specimen and length that share so many of the query's hashes at one lag. */
async function add(kind: Kind, runs: number, shared: number): Promise<string[]> {
  return app.database.$transaction(async (tx) => {
    await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
    const made = await tx.$queryRaw<{ id: string; evaluation: string }[]>`
      INSERT INTO run SELECT (jsonb_populate_record(run, ${KINDS[kind]}::jsonb || jsonb_build_object('id', uuidv7(),
        'current_evaluation_id', uuidv7(), 'discharge', n + (SELECT count(*) FROM run)))).*
      FROM run CROSS JOIN generate_series(1, ${runs}::int) AS n WHERE run.id = ${original}::uuid
      RETURNING id::text, current_evaluation_id::text AS evaluation`;
    for (const { id, evaluation } of made) {
      await tx.$executeRaw`
        INSERT INTO figure SELECT (jsonb_populate_record(figure, jsonb_build_object('evaluation_id', ${evaluation}::uuid))).*
        FROM figure WHERE key = 'runtime' AND load = 0
          AND evaluation_id = (SELECT current_evaluation_id FROM run WHERE id = ${original}::uuid)`;
      await tx.$executeRaw`
        WITH made AS (INSERT INTO copy_fingerprint (run_id, method) VALUES (${id}::uuid, '0') RETURNING number)
        INSERT INTO copy_hash (hash, number, "offset") SELECT hash, number, 150 * place FROM made
        CROSS JOIN unnest(${Array.from({ length: shared }, (_, i) => hashAt(i))}::int[]) WITH ORDINALITY AS one (hash, place)`;
    }
    return made.map(({ id }) => id);
  });
}

const query = sortedByHash({
  hashes: Int32Array.from({ length: HASHES }, (_, i) => hashAt(i)),
  offsets: Int32Array.from({ length: HASHES }, (_, i) => 150 * (i + 1)),
});

describe("many copies that are nearer to a run than the one it was made of", () => {
  it("take no place from runs that stand, whatever became of them", async () => {
    const [copied] = await add("standing", 1, HASHES - 2);
    const decoys = {
      withdrawn: await add("withdrawn", DECOYS, HASHES),
      idle: await add("idle", DECOYS, HASHES),
    };
    const found = (await copies.candidates(0, query)).map(({ runId }) => runId);
    expect(found).toContain(copied);
    expect(found.filter((id) => decoys.withdrawn.includes(id))).toHaveLength(MAX_OF_KIND.withdrawn);
    expect(found.filter((id) => decoys.idle.includes(id))).toHaveLength(MAX_OF_KIND.idle);
  });

  it("that stand leave places to withdrawn ones that count", async () => {
    const standing = await add("standing", DECOYS, HASHES);
    const found = (await copies.candidates(0, query)).map(({ runId }) => runId);
    expect(found.filter((id) => standing.includes(id))).toHaveLength(MAX_OF_KIND.standing);
    expect(found.length).toBe(MAX_OF_KIND.standing + MAX_OF_KIND.withdrawn + MAX_OF_KIND.idle);
  });

  it("of its pack, as long as it, are compared as many as of each kind that counts", async () => {
    const kinds = await app.database.$queryRaw<{ id: string; kind: string }[]>`
      SELECT id::text, concat_ws(' ', review_state, withdrawn_from) AS kind FROM run`;
    const kindOf = new Map(kinds.map(({ id, kind }) => [id, kind]));
    const alike = (await copies.toCompare(original))?.alike.map((id) => kindOf.get(id)) ?? [];
    expect(alike.toSorted()).toEqual([
      ...new Array(MAX_ALIKE).fill("pending"),
      ...new Array(MAX_ALIKE).fill("withdrawn pending"),
    ]);
  });
});
