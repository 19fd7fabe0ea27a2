import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { TestApp } from "../support/app.js";
import { AutoAcceptTest } from "../support/auto-accept-test.js";
import { uploadDemoRun } from "../support/demo-run.js";

const agreement = JSON.stringify({
  channel: "voltage",
  correlation: 0.99,
  score: 40,
  lagS: 0,
  overlapS: 60,
  samples: 600,
  gain: 1,
  coarse: false,
});

let policy: AutoAcceptTest;
let app: TestApp;
/** A run like those of three others, by a tester with an accepted run. */
let run: string;
beforeAll(async () => {
  policy = await AutoAcceptTest.start();
  ({ app, run } = policy);
  await policy.accept(await uploadDemoRun(app, policy.slipstream, "run-12"));
  await policy.setPolicy({ enabled: false });
});
afterAll(() => app.close());

describe("the criteria of the auto-accept policy", () => {
  const own = () => `(SELECT tester_id FROM run WHERE id = '${run}')`;
  const evaluation = () => `(SELECT current_evaluation_id FROM run WHERE id = '${run}')`;
  const CASES: readonly [string, () => string, () => string][] = [
    [
      "untouched",
      () => `UPDATE run SET appealed = true WHERE id = '${run}'`,
      () => `UPDATE run SET appealed = false WHERE id = '${run}'`,
    ],
    [
      "untouched",
      () =>
        `INSERT INTO review_claim (run_id, moderator_id, until) SELECT '${run}', id, now() + interval '1 hour' FROM account WHERE handle = 'mona'`,
      () => "DELETE FROM review_claim",
    ],
    [
      "untouched",
      () =>
        `UPDATE run SET replaced_by_id = '${run}', review_state = 'withdrawn', withdrawal = 1 WHERE review_state = 'accepted' AND tester_id = ${own()}`,
      () =>
        "UPDATE run SET replaced_by_id = NULL, review_state = 'accepted', withdrawal = 0 WHERE replaced_by_id IS NOT NULL",
    ],
    [
      "conforming",
      () => `UPDATE evaluation SET verdict = 'nonconforming' WHERE id = ${evaluation()}`,
      () => `UPDATE evaluation SET verdict = 'conforming' WHERE id = ${evaluation()}`,
    ],
    [
      "no-failed-advice",
      () =>
        `INSERT INTO finding (evaluation_id, position, rule, severity, outcome, "limit", unit, message) VALUES (${evaluation()}, 999, 'trial', 'advised', 'fail', '1', '1', 'Tried.')`,
      () => "DELETE FROM finding WHERE rule = 'trial'",
    ],
    [
      "compared",
      () => `UPDATE copy_fingerprint SET checked_at = checked_at - interval '1 day' WHERE run_id = '${run}'`,
      () => `UPDATE copy_fingerprint SET checked_at = checked_at + interval '1 day' WHERE run_id = '${run}'`,
    ],
    [
      "no-copy",
      () =>
        `INSERT INTO copy_match (earlier_run_id, later_run_id, method, agreements) SELECT min(id::text)::uuid, '${run}', 'x', '[${agreement}]' FROM run`,
      () => "DELETE FROM copy_match WHERE method = 'x'",
    ],
    [
      "new-log",
      () =>
        `UPDATE run SET log_sha256 = (SELECT log_sha256 FROM run WHERE id = '${run}') WHERE id = (SELECT min(id::text)::uuid FROM run)`,
      () => `UPDATE run SET log_sha256 = (SELECT log_sha256 FROM evaluation WHERE id = run.current_evaluation_id)`,
    ],
    [
      "accepted-by-moderators",
      () => `UPDATE run SET review_state = 'rejected' WHERE review_state = 'accepted' AND tester_id = ${own()}`,
      () => `UPDATE run SET review_state = 'accepted' WHERE review_state = 'rejected' AND tester_id = ${own()}`,
    ],
    [
      "pack-of-another",
      () => `UPDATE pack SET created_by_id = ${own()} WHERE name = 'Ridge'`,
      () => "UPDATE pack SET created_by_id = (SELECT id FROM account WHERE handle = 'keelbench') WHERE name = 'Ridge'",
    ],
    [
      "near-others",
      () =>
        `UPDATE figure SET value = value * 1.2, uncertainty = value WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
      () =>
        `UPDATE figure SET value = value / 1.2, uncertainty = 10 WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
    ],
    [
      "agrees-with-others",
      () =>
        `UPDATE figure SET value = value * 1.04, uncertainty = uncertainty / 1e6 WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
      () =>
        `UPDATE figure SET value = value / 1.04, uncertainty = uncertainty * 1e6 WHERE evaluation_id = ${evaluation()} AND key = 'capacity' AND basis = 'translated'`,
    ],
    [
      "ranked-by-itself",
      () =>
        `UPDATE figure SET bound = 'lower' WHERE evaluation_id = ${evaluation()} AND key = 'energy' AND basis = 'translated'`,
      () =>
        `UPDATE figure SET bound = 'none' WHERE evaluation_id = ${evaluation()} AND key = 'energy' AND basis = 'translated'`,
    ],
  ];
  it.each(CASES)("looks at the record for %s", async (term, harm, mend) => {
    await policy.tamper(harm());
    expect(await policy.unmet()).toContain(term);
    await policy.tamper(mend());
    expect(await policy.unmet()).toEqual([]);
  });

  it("counts other testers and the account's age against its own limits", async () => {
    await policy.setPolicy({ enabled: false, otherTesters: 4, accountDays: 1 });
    expect(await policy.unmet()).toEqual(["account-age", "other-testers"]);
    await policy.setPolicy({ enabled: false });
  });

  it.each([
    ["in its own class", 0],
    ["of another class, in the ranking of all packs", 1],
  ])("leaves it to a moderator when any pack would change places, in whichever direction: %s", async (_, moreCells) => {
    const { pack } = (await policy.ask("GET", `/v1/runs/${run}`, policy.mona)).json<{ pack: { id: string } }>();
    const { figures } = (await policy.ask("GET", `/v1/runs/${run}`, policy.mona)).json<{
      figures: { key: string; load: number | null; value: number }[];
    }>();
    const translated = figures.find((one) => one.key === "power-10s" && one.load !== null);
    const { load = null, value: found = 0 } = translated ?? {};
    const { value } = await app.database.standing.findFirstOrThrow({
      where: { packId: pack.id, figure: "power-10s", load: load ?? 0 },
    });
    expect(Math.abs(found - value)).toBeGreaterThan(1e-3);
    // Another pack that stands between where this one is and where the run would bring it.
    const between = value + (found > value ? 1e-6 : -1e-6);
    const rival = "00000000-0000-7000-8000-000000000001";
    await policy.tamper(`INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, created_by_id)
      SELECT '${rival}', 'Rival', 'Rival', chemistry, series + ${moreCells}, parallel, rated_capacity_mah, created_by_id FROM pack WHERE id = '${pack.id}'`);
    await policy.tamper(`INSERT INTO standing (protocol_key, protocol_version, computation_version, figure, load, pack_id, chemistry, series, rated_capacity_mah, value, unit, uncertainty, testers, runs, established, basis, sort_value)
      SELECT protocol_key, protocol_version, computation_version, figure, load, '${rival}', chemistry, series + ${moreCells}, rated_capacity_mah, ${between}, unit, uncertainty, testers, runs, established, basis, ${between}
      FROM standing WHERE pack_id = '${pack.id}' AND figure = 'power-10s' AND load = ${load}`);
    expect(await policy.unmet()).toEqual(["places-stay"]);
    await policy.tamper(`DELETE FROM standing WHERE pack_id = '${rival}'`);
    await policy.tamper(`DELETE FROM pack WHERE id = '${rival}'`);
    expect(await policy.unmet()).toEqual([]);
  });
});
