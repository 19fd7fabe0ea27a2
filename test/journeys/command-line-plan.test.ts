import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { Commands } from "../support/command-line.js";
import { productOf } from "../support/facts.js";

const EXAMPLE = join(projectRoot, "docs", "example", "check.json");

let app: TestApp;
let server: string;
beforeAll(async () => {
  app = await startTestApp();
  server = app.url;
  const headers = await app.signIn("anna");
  for (const name of ["Slipway 4", "Slipway 6"]) {
    const payload = { ...productOf(name), series: Number(name.at(-1)), labelContinuousC: 20 };
    await app.inject({ method: "POST", url: "/v1/packs", payload, headers });
  }
});
afterAll(() => app.close());

const commands = new Commands();
afterAll(() => commands.end());

const plan = (...args: string[]) => commands.run(["plan", ...args]);

describe("packledger plan", () => {
  it("plans by a run file alone, cautions first, whatever server is named", async () => {
    const { code, stdout } = await plan("--run", EXAMPLE, "--server", "http://127.0.0.1:1");
    expect(code).toBe(0);
    const [title, cautions, first] = stdout.split("\n");
    expect([title, cautions]).toEqual(["Halden Cells Sprint 5000: Full load to the voltage cutoff", "  cautions"]);
    expect(first).toContain("vent and burn");
    expect(stdout).toContain("voltage cut-out 13.2 V");
    expect(stdout).toContain("[ ] ");
    const { stdout: ladder } = await plan("--run", EXAMPLE, "--protocol", "current-ladder");
    expect(ladder).toContain("first step of the ladder");
  });

  it("plans for a pack that the service knows, found by its name, as the service does", async () => {
    const { code, stdout } = await plan("--pack", "slipway 6", "--load", "63", "--json", "--server", server);
    expect(code).toBe(0);
    const { title: _, ...planned } = JSON.parse(stdout);
    const id = planned.packId as string;
    const answer = await app.inject({ url: `/v1/plans?protocol=full-load&load=63&packId=${id}` });
    expect(planned).toEqual(answer.json());
  });

  it.each([
    [["--run", EXAMPLE, "--load", "5000"], "at once"],
    [["--run", EXAMPLE, "--protocol", "nothing"], "There are: full-load"],
    [["--run", "missing.json"], "There is no file missing.json"],
    [[], "--pack"],
    [["--pack", "slipway"], "Several packs"],
    [["--pack", "slipway 4", "--load", "900"], "the maker's limits come first"],
  ])("%p says what to do instead", async (args, words) => {
    const { code, stderr } = await plan(...args, "--server", server);
    expect([code, stderr]).toEqual([2, expect.stringContaining(words)]);
  });
});
