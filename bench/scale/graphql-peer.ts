import { execFile } from "node:child_process";
import { join } from "node:path";
import { promisify } from "node:util";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { send } from "./load.js";

// PostGraphile over the same tables: a GraphQL server that nobody wrote. It is installed when it is compared with, and no dependency of the program.

const FOLDER = join(projectRoot, "bench", "peers", "postgraphile");
/** Started with its port and the database's address. */
export const GRAPHQL_PEER = join(FOLDER, "serve.js");
const PAGE_SIZE = 25;
const COLUMNS = `packId value unit uncertainty degreesOfFreedom basis load ownLoadValue testers runs established protocolVersion computationVersion
  packByPackId { maker name chemistry series parallel ratedCapacityMah labelContinuousC labelBurstC massGrams connector leadGaugeAwg leadAreaMm2 }`;

/** Installs it from its lock file; says why where it cannot be, such as without a registry. */
export async function installGraphqlPeer(say: (line: string) => void): Promise<boolean> {
  try {
    await promisify(execFile)("npm", ["ci", "--prefix", FOLDER, "--ignore-scripts", "--no-audit", "--no-fund"]);
    return true;
  } catch (error) {
    say(`PostGraphile is left out, since it could not be installed: ${String(error).split("\n")[0]}`);
    return false;
  }
}

/** The standings of a page, counted from 1, as the peer is asked for them. */
export function peerQuery(
  { figure, load, filter }: { figure: string; load: number; filter: string },
  page: number,
): string {
  const wanted = [...new URLSearchParams(filter)].map(
    ([name, value]) => `${name}: ${/^\d+$/.test(value) ? value : JSON.stringify(value)}`,
  );
  const condition = [`protocolKey: "full-load", figure: "${figure}", load: ${load}`, ...wanted].join(", ");
  const place = `first: ${PAGE_SIZE}, offset: ${(page - 1) * PAGE_SIZE}, orderBy: [SORT_VALUE_DESC, PACK_ID_ASC]`;
  return `{ allStandingsList(${place}, condition: { ${condition} }) { ${COLUMNS} } }`;
}

/** Makes sure that the peer answers a query with a whole page: what is wrong is answered with 200 as well. */
export async function requirePage(url: string, query: string): Promise<void> {
  const { text } = await send({ url, body: JSON.stringify({ query }) });
  const { data } = JSON.parse(text) as { data?: { allStandingsList: readonly object[] } | null };
  if (data?.allStandingsList.length !== PAGE_SIZE) throw new Error(`no page of PostGraphile: ${text.slice(0, 300)}`);
}
