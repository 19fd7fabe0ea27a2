import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { parseArgs } from "node:util";
import type { Attack, Outcome } from "./attack.js";
import { ATTACKS } from "./attacks.js";
import { Reader } from "./reader.js";
import { ServiceUnderAttack } from "./service.js";

const MAX_MEBIBYTES = 512;
const IDLE_MS = 3_000;
/** What others read meanwhile. */
const READ_PATH = "/v1/packs";

const { values } = parseArgs({
  // A folder with the data of an earlier run saves the loading of the demo.
  options: { only: { type: "string", default: "" }, folder: { type: "string" } },
});
const chosen = ATTACKS.filter(({ name }) => name.includes(values.only));
if (chosen.length === 0) throw new Error(`No attack has "${values.only}" in its name.`);

const folder = values.folder ?? (await mkdtemp(join(tmpdir(), "hostile-")));
const service = new ServiceUnderAttack(folder);
const faults: string[] = [];
try {
  await service.start();
  // What the demo's loading took is not the attacks' doing.
  await service.stop();
  let base = await service.start();
  const idle: Attack = {
    name: "nobody",
    attack: async () => {
      await delay(IDLE_MS);
      return { answers: {} };
    },
  };
  for (const attack of [idle, ...chosen]) {
    await carryOut(attack, base);
    if (service.hasEnded) base = await service.start();
  }
} finally {
  await service.stop();
  if (faults.length === 0 && !values.folder) await rm(folder, { recursive: true });
}
for (const fault of faults) console.error(`fault: ${fault}`);
if (faults.length > 0) console.error(`the service's own words are in ${folder}`);
process.exitCode = faults.length === 0 ? 0 : 1;

async function carryOut({ name, attack }: Attack, base: string): Promise<void> {
  await service.forgetPeak();
  const reader = new Reader(`${base}${READ_PATH}`);
  const outcome = await attack(base);
  const slowest = await reader.stop();
  const peak = await service.peakMebibytes();
  console.log(
    `${name}\n  answers ${inWords(outcome)}; peak ${peak?.toFixed(0) ?? "-"} MiB; p99 of another reader ${slowest.toFixed(1)} ms`,
  );
  if (peak === null) faults.push(`${name}: the service ended`);
  else if (peak > MAX_MEBIBYTES) faults.push(`${name}: the service held ${peak.toFixed(0)} MiB`);
}

function inWords({ answers }: Outcome): string {
  return (
    Object.entries(answers)
      .map(([answer, times]) => `${times} x ${answer}`)
      .join(", ") || "none"
  );
}
