import { existsSync } from "node:fs";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { loadDemo } from "../seed/load.js";
import { DEMO_ACCOUNTS_FILE } from "../seed/passwords.js";
import { RUNS } from "../seed/scenario.js";
import { AccountsService } from "./features/accounts/accounts.service.js";
import type { Config } from "./platform/config/config.js";
import { makeFolder } from "./platform/files/make-folder.js";
import type { Service } from "./start-service.js";

/** Fills the service with the demo through its own API, once for each data folder. */
export async function loadDemoOnce(
  { url, app }: Service,
  { dataFolder }: Config,
  say: (line: string) => void,
): Promise<void> {
  const marker = join(dataFolder, "demo-loaded");
  if (existsSync(marker)) return;
  const accounts = app.get(AccountsService);
  const begunBefore = existsSync(join(dataFolder, DEMO_ACCOUNTS_FILE));
  if (!begunBefore && (await accounts.exist())) {
    say("The demo was not loaded: this record has accounts of its own already.");
    return;
  }
  await makeFolder(dataFolder);
  say(`Loading the demo: an invented league, its packs and ${RUNS.length} runs, uploaded as any tester would ...`);
  const { packs, runs, unexpectedVerdicts } = await loadDemo(url, {
    stateFolder: dataFolder,
    grantRole: async (handle, role) => {
      await accounts.grantRole(handle, role);
    },
    onProgress: ({ stage, done, total }) => {
      if (done === total) say(`  ${stage}: ${done} of ${total}`);
    },
  });
  if (unexpectedVerdicts.length > 0) {
    throw new Error(`The demo came out other than it was meant: ${JSON.stringify(unexpectedVerdicts)}`);
  }
  await writeFile(marker, `${packs} packs, ${runs} runs\n`);
}
