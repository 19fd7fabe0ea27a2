import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { parseArgs } from "node:util";
import type { Attack, Outcome } from "./attack.js";
import { ATTACKS } from "./attacks.js";
import { faultsOf, MAX_MEBIBYTES, type Measured, readerBoundMs } from "./judge.js";
import { Reader } from "./reader.js";
import { ServiceUnderAttack } from "./service.js";

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
  const { readerMs } = await carryOut(idle, base);
  const boundMs = readerBoundMs(readerMs);
  console.log(`bounds: ${MAX_MEBIBYTES} MiB, a reader's p99 of ${boundMs.toFixed(0)} ms, no 5xx but the declared 503s`);
  for (const attack of chosen) {
    const measured = await carryOut(attack, base);
    faults.push(...faultsOf(measured, boundMs).map((fault) => `${attack.name}: ${fault}`));
    if (service.hasEnded) base = await service.start();
  }
} finally {
  await service.stop();
  if (faults.length === 0 && !values.folder) await rm(folder, { recursive: true });
}
for (const fault of faults) console.error(`fault: ${fault}`);
if (faults.length > 0) console.error(`the service's own words are in ${folder}`);
process.exitCode = faults.length === 0 ? 0 : 1;

async function carryOut({ name, attack }: Attack, base: string): Promise<Measured> {
  await service.forgetPeak();
  const reader = new Reader(`${base}${READ_PATH}`);
  const outcome = await attack(base);
  const readerMs = await reader.stop();
  const peakMebibytes = await service.peakMebibytes();
  const [answers, peak] = [inWords(outcome), peakMebibytes?.toFixed(0) ?? "-"];
  console.log(`${name}\n  answers ${answers}; peak ${peak} MiB; p99 of another reader ${readerMs.toFixed(1)} ms`);
  return { ...outcome, peakMebibytes, readerMs };
}

function inWords({ answers }: Outcome): string {
  return (
    Object.entries(answers)
      .map(([answer, times]) => `${times} x ${answer}`)
      .join(", ") || "none"
  );
}
