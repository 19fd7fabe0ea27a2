import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { parseArgs } from "node:util";
import { writeBackup } from "../../src/platform/backup/backup.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { freePort, isReady } from "../durability/network.js";
import { DatabaseServer, Program } from "../durability/processes.js";
import { inspectRecord } from "../durability/record.js";
import { built, trialEnvironment } from "../durability/trial-programs.js";
import { fill } from "./fill.js";

// Fills a record with the program of a folder, that of this one unless another is named, and writes it where the tests find it.

const SETUP_TOKEN = "the first administrator of this record registers with it";
const { version } = JSON.parse(await readFile(join(projectRoot, "package.json"), "utf8")) as { version: string };
const { values } = parseArgs({
  options: {
    program: { type: "string", default: projectRoot },
    out: { type: "string", default: join(projectRoot, "test", "upgrade", "records", `${version}.zip`) },
  },
});

const folder = await mkdtemp(join(tmpdir(), "packledger-upgrade-"));
const database = new DatabaseServer(folder);
const connectionString = await database.start();
const url = `http://127.0.0.1:${await freePort()}`;
const environment = trialEnvironment(connectionString, url, { SETUP_TOKEN });
const script = built("main.js", resolve(values.program));
const service = new Program(script, environment, join(folder, "service.log"), () => isReady(url));
try {
  await service.start();
  await fill(url, SETUP_TOKEN);
  await inspectRecord(connectionString, []);
  await service.kill();
  const { migrations, files } = await writeBackup(connectionString, resolve(values.out), join(folder, "no-key.pem"));
  console.log(`${values.out}: ${files.length} files, made by ${migrations.length} migrations`);
} finally {
  await service.kill();
  await database.stop();
  await rm(folder, { recursive: true, force: true });
}
