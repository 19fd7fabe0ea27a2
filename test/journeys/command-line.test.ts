import { copyFile, mkdir, mkdtemp, readFile, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { Commands, packledger as run } from "../support/command-line.js";
import { productOf } from "../support/facts.js";
import { newestProtocol } from "../support/protocols.js";
import { logCase, postForm, register } from "../support/uploads.js";

const FIXTURES = join(projectRoot, "test", "cross-checks", "fixtures");
const GOOD = logCase("truth-4s-10hz");
const PROTOCOL = `full-load ${newestProtocol("full-load").version}`;

let app: TestApp;
let folder: string;
let token: string;
beforeAll(async () => {
  app = await startTestApp();
  const headers = await app.signIn("anna");
  token = headers.authorization.slice("Bearer ".length);
  await register(app, headers, "Sprint", GOOD);
  folder = await mkdtemp(join(tmpdir(), "packledger-cli-"));
  const { pack, bench, conditions } = GOOD;
  const described = productOf("Sprint", pack);
  const run = { protocol: "full-load", specimen: "Sprint no. 1", ...conditions };
  const runFile = JSON.stringify({ ...run, pack: described, bench: { ...bench, label: "Bench" } });
  for (const [name, log] of [
    ["good", "truth-4s-10hz.csv"],
    ["mixed", "truth-4s-10hz.csv"],
    ["mixed", "too-hot.csv"],
  ] as const) {
    await mkdir(join(folder, name), { recursive: true });
    await copyFile(join(FIXTURES, log), join(folder, name, log));
    await writeFile(join(folder, name, "run.json"), runFile);
  }
  await writeFile(join(folder, "mixed", "a-first-unreadable.csv"), "Voltage\n1\n");
  await writeFile(join(folder, "mixed", "notes.md"), "no log");
  await mkdir(join(folder, "mixed", "deeper"));
});
afterAll(async () => {
  await rm(folder, { recursive: true });
  await app.close();
});

const commands = new Commands();
afterAll(() => commands.end());

const packledger = (args: readonly string[], environment: Record<string, string> = {}) =>
  commands.run(args, { XDG_CONFIG_HOME: join(folder, "config"), ...environment }, folder);
const login = (environment: Record<string, string> = {}) =>
  run(
    ["login", "--server", app.url],
    { XDG_CONFIG_HOME: join(folder, "config"), ...environment },
    folder,
    "anna\ncorrect horse battery\n",
  );

describe("packledger check", () => {
  it("says what a log gives, as the service would, and that it conforms", async () => {
    const { code, stdout, stderr } = await packledger(["check", "good"]);
    expect([code, stderr]).toEqual([0, ""]);
    expect(stdout).toContain(`truth-4s-10hz.csv: conforms (${PROTOCOL})`);
    expect(stdout).toMatch(/under the run's own load( +standard load \d+ A){3}\n/);
    expect(stdout).toMatch(/ power-10s( +\d+ \+- \d+ W){4}\n/);
    expect(stdout).toMatch(/Current \[A\] +current in A +named current in its header/);
  });

  it("goes through a folder by name, past what cannot be read, and answers the shell with the worst", async () => {
    const { code, stdout } = await packledger(["check", "mixed", "good"]);
    expect(code).toBe(2);
    const verdicts = stdout.split("\n").filter((line) => /^\S/.test(line));
    expect(verdicts).toEqual([
      "mixed/a-first-unreadable.csv: cannot be read",
      `mixed/too-hot.csv: does not conform (${PROTOCOL})`,
      `mixed/truth-4s-10hz.csv: conforms (${PROTOCOL})`,
      `good/truth-4s-10hz.csv: conforms (${PROTOCOL})`,
    ]);
    expect(stdout).toContain("    cutoff-reached: The run ended");
    expect((await packledger(["check", "mixed/too-hot.csv"])).code).toBe(1);
  });

  it("gives machines the figures and findings of the service, an object a line", async () => {
    const { code, stdout } = await packledger(["check", "--json", "good", "nothing.csv"]);
    expect(code).toBe(2);
    const [good, missing] = stdout
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(missing).toMatchObject({ file: "nothing.csv", state: "failed", error: { code: "run-file-unusable" } });
    const { pack, bench, conditions } = GOOD;
    const described = { pack: productOf("Sprint", pack), bench: { ...bench, label: "Bench" } };
    const { body } = await postForm(
      `${app.url}/v1/checks`,
      { protocol: "full-load", ...conditions, ...described },
      GOOD.log,
    );
    const { figures, conformance, trace } = body;
    expect(good).toMatchObject({ file: "good/truth-4s-10hz.csv", state: "processed" });
    expect({ figures: good.figures, conformance: good.conformance, trace: good.trace }).toEqual({
      figures,
      conformance,
      trace,
    });
  });

  it.each([
    ["no command that there is", ["chekc"]],
    ["an option that there is not", ["check", "--colour", "good"]],
    ["a folder without a log", ["check", "mixed/deeper"]],
  ])("is a fault for %s", async (_, args) => {
    const { code, stdout, stderr } = await packledger(args);
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toMatch(/^(error|Error): /);
  });

  it("names every fault of the run file", async () => {
    await writeFile(
      join(folder, "wrong.json"),
      JSON.stringify({ protocol: "full-load", pack: { series: 0 }, colour: 1 }),
    );
    const { code, stdout } = await packledger(["check", "--run", "wrong.json", "good"]);
    expect(code).toBe(2);
    for (const fault of ["pack/series must be at least 1", "colour is not known here"]) expect(stdout).toContain(fault);
  });
});

describe("a log with two discharges", () => {
  /** The log twice, the second time an hour later, as a logger that was never stopped writes it. */
  const twice = () => {
    const [header = "", ...rows] = Buffer.from(GOOD.log).toString("utf8").trimEnd().split(/\r?\n/);
    const later = rows.map((row) => row.replace(/^[^,]*/, (time) => (Number(time) + 3600).toFixed(3)));
    return `${[header, ...rows, ...later].join("\n")}\n`;
  };

  beforeAll(async () => {
    await mkdir(join(folder, "twice"));
    await writeFile(join(folder, "twice", "log.csv"), twice());
    const run = JSON.parse(await readFile(join(folder, "good", "run.json"), "utf8"));
    await writeFile(join(folder, "twice", "run.json"), JSON.stringify(run));
    for (const discharge of [1, 2, 3]) {
      await writeFile(join(folder, `discharge-${discharge}.json`), JSON.stringify({ ...run, discharge }));
    }
  });

  it("is refused with the list of both until the run file says which", async () => {
    const { code, stdout } = await packledger(["check", "twice"]);
    expect(code).toBe(2);
    expect(stdout).toContain('"discharge": 1');
    for (const place of ["discharge 1: ", "discharge 2: "]) expect(stdout).toContain(place);
    expect((await packledger(["check", "--run", "discharge-3.json", "twice"])).code).toBe(2);
  });

  it("is checked as the discharge of the run file, with the figures of the log of that run alone", async () => {
    const alone = await packledger(["check", "good"]);
    const power = (text: string) => text.split("\n").find((line) => line.trim().startsWith("power-10s"));
    expect(power(alone.stdout)).toBeDefined();
    for (const discharge of [1, 2]) {
      const { code, stdout } = await packledger(["check", "--run", `discharge-${discharge}.json`, "twice"]);
      expect([code, power(stdout)]).toEqual([0, power(alone.stdout)]);
    }
  });

  it("is uploaded as the discharge of the run file, each as a run of its own", async () => {
    const upload = (run: string) =>
      packledger(["upload", "--server", app.url, "--run", run, "twice"], { PACKLEDGER_TOKEN: token });
    const refused = await upload(join("twice", "run.json"));
    expect([refused.code, refused.stdout.includes("discharge 2: ")]).toEqual([2, true]);
    for (const discharge of [1, 2]) expect((await upload(`discharge-${discharge}.json`)).code).toBe(0);
    const runs = await app.database.run.findMany({
      where: { fileName: "log.csv", state: "processed" },
      orderBy: { discharge: "asc" },
    });
    expect(runs.map(({ discharge }) => discharge)).toEqual([1, 2]);
  });
});

describe("packledger --help", () => {
  it.each([[[]], [["check"]], [["login"]], [["upload"]]])("shows the caution of %j", async (command) => {
    const { code, stdout } = await packledger([...command, "--help"]);
    expect(code).toBe(0);
    expect(stdout).toContain("Caution. Lithium packs can vent and burn.");
  });
});

it("says which version of packledger it is, as the changelog's newest release names it", async () => {
  const { code, stdout } = await packledger(["--version"]);
  const changelog = await readFile(join(projectRoot, "CHANGELOG.md"), "utf8");
  const [, released] = /^## (\d+\.\d+\.\d+) \(/m.exec(changelog) ?? [];
  expect([code, stdout]).toEqual([0, `${released}\n`]);
});

describe("packledger login and upload", () => {
  it("need a session", async () => {
    const { code, stderr } = await packledger(["upload", "--server", app.url, "good"]);
    expect(code).toBe(2);
    expect(stderr).toContain("packledger login");
  });

  it("keep the session to their user, and upload what is new, past what cannot be read", async () => {
    const signedIn = await login();
    expect([signedIn.code, signedIn.stderr.includes("correct horse battery")]).toEqual([0, false]);
    const file = join(folder, "config", "packledger", "sessions.json");
    expect((await stat(file)).mode & 0o777).toBe(0o600);
    const { code, stdout } = await packledger(["upload", "--server", app.url, "mixed"]);
    expect(code).toBe(2);
    const runs = await app.database.run.findMany({
      where: { state: "processed", discharge: 0 },
      orderBy: { id: "asc" },
    });
    expect(runs.map(({ fileName }) => fileName)).toEqual(["too-hot.csv", "truth-4s-10hz.csv"]);
    const lines = stdout.split("\n").filter((line) => /^\S|http/.test(line));
    const unreadable = await app.database.run.findFirstOrThrow({
      where: { state: "failed", fileName: "a-first-unreadable.csv" },
    });
    expect(lines).toEqual([
      "mixed/a-first-unreadable.csv: not uploaded",
      `  ${app.url}/v1/runs/${unreadable.id}`,
      "mixed/too-hot.csv: does not conform",
      `  ${app.url}/v1/runs/${runs[0]?.id}`,
      "mixed/truth-4s-10hz.csv: conforms",
      `  ${app.url}/v1/runs/${runs[1]?.id}`,
    ]);
    const again = await packledger(["upload", "--server", app.url, "mixed/truth-4s-10hz.csv"]);
    expect([again.code, again.stdout.includes(`${runs[1]?.id}`)]).toEqual([0, true]);
  });

  it("say of an empty file that it is empty, and upload what is beside it", async () => {
    await mkdir(join(folder, "beside"));
    await writeFile(join(folder, "beside", "empty.csv"), "");
    for (const name of ["run.json", "truth-4s-10hz.csv"]) {
      await copyFile(join(folder, "good", name), join(folder, "beside", name));
    }
    const uploaded = await packledger(["upload", "--server", app.url, "beside"], { PACKLEDGER_TOKEN: token });
    expect(uploaded.code).toBe(2);
    expect(uploaded.stdout).toContain("beside/empty.csv: not uploaded\n  The log is empty. Upload the file");
    expect(uploaded.stdout).toContain("beside/truth-4s-10hz.csv: conforms");
  });

  it("take a token from the environment, and refuse one that is none", async () => {
    const good = await packledger(["upload", "--server", app.url, "good"], { PACKLEDGER_TOKEN: token });
    expect(good.code).toBe(0);
    const bad = await login({ PACKLEDGER_TOKEN: "me" });
    expect([bad.code, bad.stderr.includes("session")]).toEqual([2, true]);
  });
});

describe("a log that leaves a column open", () => {
  const good = Buffer.from(GOOD.log).toString("utf8");
  const unitless = good.replace("Current [A]", "Current [bar]");
  const columnsIn = async (file: string) => JSON.parse(await readFile(join(folder, file), "utf8")) as object;

  beforeAll(async () => {
    await mkdir(join(folder, "open"));
    await writeFile(join(folder, "open", "checked.csv"), unitless);
    await writeFile(join(folder, "open", "sent.csv"), `${unitless}# sent\n`);
    await copyFile(join(folder, "good", "run.json"), join(folder, "open", "run.json"));
  });

  it("comes with what would settle it, which goes into a run file of its own when chosen", async () => {
    const [asked, alone] = [await packledger(["check", "open/checked.csv"]), await packledger(["check", "good"])];
    expect([asked.code, asked.stdout]).toEqual([2, expect.stringContaining("cannot be read")]);
    expect(asked.stderr).toMatch(/\n {4}1 {2}current: column "Current \[bar\]", in A\n/);
    expect((await packledger(["check", "--choose", "99", "open/checked.csv"])).stderr).toContain("there are");
    const { code, stdout } = await packledger(["check", "--choose", "1", "open/checked.csv"]);
    const power = (text: string) => text.split("\n").find((line) => line.trim().startsWith("power-10s"));
    expect([code, power(stdout)]).toEqual([0, power(alone.stdout)]);
    expect(await columnsIn("open/checked.run.json")).toEqual({
      ...(await columnsIn("open/run.json")),
      columns: expect.objectContaining({ current: { name: "Current [bar]", unit: "A" } }),
    });
    expect((await packledger(["check", "open/checked.csv"])).code).toBe(0);
  });

  it("is uploaded anew with what was chosen", async () => {
    const upload = (...more: string[]) =>
      packledger(["upload", "--server", app.url, ...more, "open/sent.csv"], { PACKLEDGER_TOKEN: token });
    const refused = await upload();
    expect([refused.code, refused.stderr]).toEqual([2, expect.stringContaining('1  current: column "Current [bar]"')]);
    const { code, stdout } = await upload("--choose", "1");
    expect([code, stdout]).toEqual([0, expect.stringContaining("/v1/runs/")]);
    expect((await packledger(["check", "--choose", "1", "good", "open"])).stderr).toContain("one log");
  });
});
