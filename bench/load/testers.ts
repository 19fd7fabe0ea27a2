import { readFile } from "node:fs/promises";
import { setTimeout as delay } from "node:timers/promises";
import { AMBIENT_C, BENCH } from "../../test/durability/league-logs.js";
import { PACK, productOf } from "../../test/support/facts.js";
import { send } from "../scale/load.js";
import { Times } from "./times.js";

const PASSWORD = "a long enough secret";
const REST_MINUTES = 30;
/** Of every pack; as many of these as there are packs. */
export const CAPACITIES_MAH = [1300, 1500, 1800, 2200, 2600, 3000, 3700, 4200, 5000, 6000];

export interface Tester {
  readonly address: string;
  readonly token: string;
  readonly benchId: string;
  readonly specimenIds: readonly string[];
}

/** Registers testers, each at an address of its own, with a bench and a specimen of each pack. */
export async function gather(url: string, testers: number): Promise<Tester[]> {
  const gathered: Tester[] = [];
  for (let number = 0; number < testers; number++) {
    const address = `203.0.113.${number % 256}`;
    const account = { handle: `tester-${number}`, password: PASSWORD };
    await post(url, "/v1/accounts", account, { address });
    const { token } = await post(url, "/v1/sessions", account, { address });
    const by = { address, token: String(token) };
    const { id: benchId } = await post(url, "/v1/benches", { ...BENCH, label: "Bench" }, by);
    const specimenIds: string[] = [];
    for (const ratedCapacityMah of CAPACITIES_MAH) {
      const pack = productOf(`Row ${ratedCapacityMah}`, { ...PACK, massGrams: null, ratedCapacityMah });
      const { id, existingId } = await post(url, "/v1/packs", pack, by);
      const specimen = { packId: id ?? existingId, label: "no. 1", cycles: 12 };
      specimenIds.push(String((await post(url, "/v1/specimens", specimen, by)).id));
    }
    gathered.push({ ...by, benchId: String(benchId), specimenIds });
  }
  return gathered;
}

type By = { readonly address: string; readonly token?: string };

async function post(url: string, path: string, json: object, { address, token }: By): Promise<Record<string, unknown>> {
  const headers = { "x-forwarded-for": address, ...(token === undefined ? {} : { authorization: `Bearer ${token}` }) };
  const { status, text } = await send({ url: url + path, body: JSON.stringify(json), headers });
  const body = JSON.parse(text) as Record<string, unknown>;
  if (status < 300 || body.existingId !== undefined) return body;
  const similar = body.similarPacks as { readonly id: string }[] | undefined;
  if (!similar) throw new Error(`${path} was answered ${status}: ${text.slice(0, 300)}`);
  return post(url, path, { ...json, differsFrom: similar.map(({ id }) => id) }, { address, ...(token && { token }) });
}

/**
 * Uploads one log after the other from all testers at once, without pause, until they are told to stop or no log is left.
 *
 * @param logs files, the `i`-th of the `i mod 10`-th pack
 */
export async function upload(
  url: string,
  testers: readonly Tester[],
  logs: readonly string[],
  signal: AbortSignal,
): Promise<Times> {
  const times = new Times();
  let next = 0;
  const tester = async ({ address, token, benchId, specimenIds }: Tester) => {
    while (!signal.aborted && next < logs.length) {
      const number = next++;
      const form = new FormData();
      const conditions = { ambientC: AMBIENT_C, restMinutes: REST_MINUTES, cycles: 12 };
      const run = {
        protocol: "full-load",
        specimenId: specimenIds[number % specimenIds.length],
        benchId,
        ...conditions,
      };
      form.append("run", JSON.stringify(run));
      form.append("log", new Blob([await readFile(logs[number] as string)], { type: "text/csv" }), `${number}.csv`);
      const headers = { authorization: `Bearer ${token}`, "x-forwarded-for": address };
      const begun = performance.now();
      const answer = await fetch(`${url}/v1/runs`, { method: "POST", headers, body: form });
      await answer.arrayBuffer();
      times.add(performance.now() - begun, answer.status);
      if (answer.status >= 400) await delay(1000 * Number(answer.headers.get("retry-after") ?? 1));
    }
  };
  await Promise.all(testers.map(tester));
  return times;
}
