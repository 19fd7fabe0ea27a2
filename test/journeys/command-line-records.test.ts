import { spawnSync } from "node:child_process";
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { PackModelsService } from "../../src/features/use/pack-models.service.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { Commands } from "../support/command-line.js";
import { productOf } from "../support/facts.js";
import { knownModel } from "../support/known-pack-model.js";
import { logCase, uploadCase } from "../support/uploads.js";

const CLI = join(projectRoot, "dist", "src", "cli.js");
const GOOD = logCase("truth-4s-10hz");

let app: TestApp;
let folder: string;
let token: string;
let mona: { authorization: string };
let first: string;
let second: string;
let third: string;
beforeAll(async () => {
  app = await startTestApp();
  const headers = await app.signIn("anna");
  mona = await app.signIn("mona", "moderator");
  token = headers.authorization.slice("Bearer ".length);
  first = (await uploadCase(app, headers, "Slipway", "truth-4s-10hz")).body.id;
  second = (await uploadCase(app, headers, "Anvil", "plain-20hz")).body.id;
  third = (await uploadCase(app, headers, "Third", "current-offset")).body.id;
  for (const id of [first, second]) {
    const payload = { decision: "accept", rules: [] };
    await app.inject({ method: "POST", url: `/v1/runs/${id}/reviews`, headers: mona, payload });
  }
  folder = await mkdtemp(join(tmpdir(), "packledger-cli-"));
});
afterAll(async () => {
  await rm(folder, { recursive: true });
  await app.close();
});

const commands = new Commands();
afterAll(() => commands.end());

const packledger = (...args: string[]) =>
  commands.run(args, { PACKLEDGER_SERVER: app.url, PACKLEDGER_TOKEN: token }, folder);

async function packIds(...names: string[]): Promise<(string | undefined)[]> {
  const packs = (await app.inject("/v1/packs")).json<{ items: { id: string; name: string }[] }>().items;
  return names.map((name) => packs.find((pack) => pack.name === name)?.id);
}

describe("own runs at the command line", () => {
  it("are listed by state, shown, answered and withdrawn", async () => {
    const { stdout } = await packledger("runs", "--state", "accepted");
    const [header, ...rows] = stdout.trimEnd().split("\n");
    expect(header).toMatch(/^run +uploaded +protocol +pack +state +verdict +file$/);
    expect(rows.map((row) => row.split(" ")[0])).toEqual([second, first]);
    const shown = await packledger("show", first);
    expect(shown.stdout).toContain(`${app.url}/v1/runs/${first}`);
    expect(shown.stdout).toMatch(/power-10s +\d+ \+- /);
    const calibration = await app.inject({
      url: "/v1/accounts/me/calibration",
      headers: { authorization: `Bearer ${token}` },
    });
    const { items } = calibration.json<{ items: object[] }>();
    expect(JSON.parse((await packledger("calibration", "--json")).stdout)).toEqual(items);
    expect((await packledger("answer", first, "Half an hour.")).stderr).toContain("decision is not possible");
    const refused = await packledger("withdraw", third);
    expect([refused.code, refused.stderr]).toEqual([2, expect.stringContaining("--yes")]);
    const question = { decision: "request-info", rules: [], note: "How long did it rest?" };
    await app.inject({ method: "POST", url: `/v1/runs/${third}/reviews`, headers: mona, payload: question });
    expect((await packledger("show", third)).stdout).toContain(`packledger answer ${third} "..."`);
    const answered = await packledger("answer", third, "Half an hour.");
    expect([answered.code, answered.stdout]).toEqual([0, `${third}: answered, pending\n`]);
    expect((await packledger("withdraw", "--yes", third)).stdout).toBe(`${third}: withdrawn\n`);
    expect((await packledger("runs", "--state", "withdrawn")).stdout).toContain(third);
  });
});

describe("packs at the command line", () => {
  it("are found, compared in percent, as CSV and Markdown, and ranked", async () => {
    expect((await packledger("packs", "search", "slip")).stdout).toContain("Slipway");
    const { stdout } = await packledger("compare", "slipway", "anvil");
    expect(stdout).toMatch(/^figure +load +unit +Slipway +Anvil\n/);
    expect(stdout).toMatch(/power-10s +\d+ A +W +\d+ \+- [\d.]+ +[+-]?[\d.]+ %/);
    const ids = await packIds("Slipway", "Anvil");
    for (const [option, ending, accept] of [
      ["--csv", "csv", "text/csv"],
      ["--markdown", "md", "text/markdown"],
    ] as const) {
      const served = await fetch(`${app.url}/v1/comparisons.${ending}?packs=${ids}`, { headers: { accept } });
      expect((await packledger("compare", option, "slipway", "anvil")).stdout).toBe(await served.text());
    }
    expect((await packledger("compare", "slipway", "third")).stdout).toContain("Slipway");
    expect((await packledger("compare", "--csv", "slipway", "nobody's")).stderr).toContain("No pack");
    expect((await packledger("rankings", "power-10s")).stdout).toContain("--all");
    expect((await packledger("rankings", "power-10s", "--all", "--load", "80")).stdout).toMatch(/Slipway +\d+ \+- /);
    expect((await packledger("compare", "slipway")).code).toBe(2);
  });

  it("are registered from a file, similar ones shown first", async () => {
    await writeFile(join(folder, "pack.json"), JSON.stringify(productOf("Slip-Way", GOOD.pack)));
    const similar = await packledger("packs", "register", "pack.json");
    expect([similar.code, similar.stderr]).toEqual([2, expect.stringContaining("Slipway")]);
    expect((await packledger("packs", "register", "--other", "pack.json")).stdout).toContain("Slip-Way");
  });
});

describe("predictions at the command line", () => {
  /** Slipway is known: four cells whose source falls by 1 V over 5 Ah. Of Anvil no more than one run is. */
  const USE = { steps: [{ seconds: 100, currentA: 50 }], reserve: 0.1 };
  beforeAll(async () => {
    const [packId = ""] = await packIds("Slipway");
    const revision = await app.nest.get(PackModelsService).revisionOf(packId);
    const model = knownModel({ source: (share) => 4.2 - share, seriesOhm: 0.004 }) as unknown as object;
    const data = { revision, model, missing: [], validation: { runs: [], summary: null } };
    await app.database.packModel.upsert({ where: { packId }, create: { packId, ...data }, update: data });
    await writeFile(join(folder, "laps.json"), JSON.stringify(USE));
    await writeFile(join(folder, "long.json"), JSON.stringify({ steps: [{ seconds: 300, currentA: 50 }] }));
    const rows = Array.from({ length: 120 }, (_, i) => `${i},${i < 10 ? 16.8 : 15.8},${i < 10 ? 0 : 50}`);
    await writeFile(join(folder, "boat.csv"), ["time [s],voltage [V],current [A]", ...rows].join("\n"));
  });

  // By hand: 4.2 V - 0.004 ohm 50 A - q / 5 Ah falls to 3.3 V at q = 0.7 x 18 000 As, after 252 s.
  it("say whether packs hold a use and how long it lasts, cautions first", async () => {
    const held = await packledger("predict", "--use", "laps.json", "--of", "mean", "slipway");
    expect([held.code, held.stderr]).toEqual([0, ""]);
    expect(held.stdout.split("\n").slice(0, 2)).toEqual(["  cautions", expect.stringMatching(/no licence/)]);
    expect(held.stdout).toMatch(/Slipway +yes +> 99.9 % /);
    const failed = await packledger("predict", "--use", "long.json", "--of", "mean", "slipway");
    expect([failed.code, failed.stdout]).toEqual([1, expect.stringMatching(/Slipway +no .* voltage at 252 \+- \d/)]);
  });

  it("say which runs are needed of a pack of which nothing is known", async () => {
    const { code, stdout } = await packledger("predict", "--use", "laps.json", "slipway", "anvil");
    expect([code, stdout]).toEqual([1, expect.stringMatching(/Anvil +not known +- /)]);
    expect(stdout).toMatch(/needed to say more\n.*Anvil: runs of a second tester/);
  });

  it("are those of the service as JSON and CSV, and of a log what the service makes of it", async () => {
    const asked = { packIds: await packIds("Slipway"), use: USE, of: null, specimenId: null };
    const served = async (ending: string) =>
      (await app.inject({ method: "POST", url: `/v1/predictions${ending}`, payload: asked })).body;
    const json = await packledger("predict", "--json", "--use", "laps.json", "slipway");
    expect(JSON.parse(json.stdout)).toEqual(JSON.parse(await served("")));
    const csv = await packledger("predict", "--csv", "--use", "laps.json", "slipway");
    expect(csv.stdout).toBe(await served(".csv"));
    // 50 A from the tenth second to the last, and a second of rise before: 109 s of 50 A and half a second's worth.
    const ofLog = await packledger("predict", "--log", "boat.csv", "--json", "slipway");
    expect(ofLog.stderr).toMatch(/^boat\.csv: \d+ steps, 110 s /);
    expect(JSON.parse(ofLog.stdout).items[0].chargeAh * 3600).toBeCloseTo(50 * 109.5, -1);
  });

  it.each([
    [["slipway"], "--use FILE.json"],
    [["--use", "laps.json", "--log", "boat.csv", "slipway"], "--use FILE.json"],
    [["--use", "laps.json", "--demand", "power", "slipway"], "--log"],
    [["--use", "none.json", "slipway"], "There is no file none.json"],
    [["--log", "none.csv", "slipway"], "There is no file none.csv"],
    [["--use", "laps.json", "nobody's"], "No pack"],
    [["--use", "laps.json", "--specimen", "none", "slipway"], "specimen"],
  ])("%p says what to do instead", async (args, words) => {
    const { code, stderr } = await packledger("predict", ...args);
    expect([code, stderr]).toEqual([2, expect.stringContaining(words)]);
  });
});

describe("files at the command line", () => {
  it("a log has a run file of its own, and what is passed over is named", async () => {
    await mkdir(join(folder, "logs"));
    const { pack, bench, conditions } = GOOD;
    const run = { protocol: "full-load", ...conditions, pack: productOf("Own", pack), bench: { ...bench, label: "B" } };
    await writeFile(join(folder, "logs", "a.csv"), GOOD.log);
    await writeFile(join(folder, "logs", "a.run.json"), JSON.stringify(run));
    await writeFile(join(folder, "logs", "notes.md"), "no log");
    const { code, stdout, stderr } = await packledger("check", "logs");
    expect([code, stderr]).toEqual([0, "Passed over in logs: notes.md\n"]);
    expect(stdout).toContain("a.csv: conforms");
  });

  it("login without a terminal says so", () => {
    const env = { ...process.env, PACKLEDGER_TOKEN: "", XDG_CONFIG_HOME: folder };
    const args = [CLI, "login", "--server", app.url];
    const { status, stderr } = spawnSync(process.execPath, args, {
      env,
      stdio: ["ignore", "pipe", "pipe"],
      encoding: "utf8",
    });
    expect([status, stderr]).toEqual([2, expect.stringContaining("PACKLEDGER_TOKEN")]);
  });
});
