import { globSync } from "node:fs";
import { chmod, mkdtemp, rename, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";

/** Of Debian's package libfaketime. */
const LIBRARY = "/usr/lib/*/faketime/libfaketimeMT.so.1";
/** By how much the clocks of database and programs are off, s. */
const STEPS: readonly { readonly database: number; readonly programs: number }[] = [
  { database: 3_600, programs: 0 },
  { database: 0, programs: 0 },
  { database: 0, programs: 7_200 },
  { database: -7_200, programs: -7_200 },
  { database: 172_800, programs: 172_800 },
  { database: 0, programs: -86_400 },
  { database: 0, programs: 0 },
];
const STEP_MS = 12_000;

/** The clocks of database, service and worker jump, together and apart, hours and days forth and back. */
export const clockSteps: Scenario = {
  name: "clock-steps",
  async run({ say }) {
    const [library] = globSync(LIBRARY);
    if (!library) {
      say("clocks cannot be set: libfaketime is not installed (apt-get install libfaketime)");
      return null;
    }
    const folder = await mkdtemp(join(tmpdir(), "packledger-clocks-"));
    // The database runs under an account of its own.
    await chmod(folder, 0o755);
    const [database, programs] = [
      new Clock(library, join(folder, "database")),
      new Clock(library, join(folder, "programs")),
    ];
    try {
      await database.set(0);
      await programs.set(0);
      const before = { ...process.env };
      // The database's programs inherit this process's variables.
      Object.assign(process.env, database.variables);
      const inherit = () => {
        for (const name of Object.keys(database.variables)) delete process.env[name];
        Object.assign(process.env, before);
      };
      return await trial({ settings: programs.variables, afterDatabase: inherit }, async () => {
        for (const step of STEPS) {
          await database.set(step.database);
          await programs.set(step.programs);
          await delay(STEP_MS);
          say(`database ${step.database} s, programs ${step.programs} s off`);
        }
        return { done: `${STEPS.length} steps of the clocks of database and programs, by up to two days` };
      });
    } finally {
      await rm(folder, { recursive: true });
    }
  },
};

/** A clock of some programs, which can be set while they run. */
class Clock {
  constructor(
    private readonly library: string,
    private readonly file: string,
  ) {}

  get variables(): Record<string, string> {
    return {
      LD_PRELOAD: this.library,
      FAKETIME_TIMESTAMP_FILE: this.file,
      FAKETIME_CACHE_DURATION: "1",
      FAKETIME_DONT_FAKE_MONOTONIC: "1",
      DONT_FAKE_MONOTONIC: "1",
    };
  }

  async set(seconds: number): Promise<void> {
    await writeFile(`${this.file}.new`, `${seconds < 0 ? "" : "+"}${seconds}\n`, { mode: 0o644 });
    await rename(`${this.file}.new`, this.file);
  }
}
