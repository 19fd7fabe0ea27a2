import { declaredRunIn } from "../logs/log-files.js";
import { anyone, type ServerOption, signedIn } from "../session/client-of.js";
import { type ProblemBody, sentenceOfProblem, succeeded } from "../session/service-client.js";
import { textTable } from "../text-table.js";
import { UsageError } from "../usage-error.js";

interface ListedPack {
  readonly id: string;
  readonly maker: string;
  readonly name: string;
  readonly chemistry: string;
  readonly series: number;
  readonly parallel: number;
  readonly ratedCapacityMah: number;
}

/** Lists the packs whose maker or name has these words. */
export async function searchPacks(words: readonly string[], at: ServerOption): Promise<void> {
  const client = await anyone(at);
  const found = await client.get(`/v1/packs?first=25&search=${encodeURIComponent(words.join(" "))}`);
  const items = found.items as ListedPack[];
  console.log(items.length > 0 ? tableOf(items) : `No pack at ${at.server} is called ${words.join(" ")}.`);
}

interface RegisterOptions extends ServerOption {
  readonly other?: boolean;
}

/** Registers the pack that a file describes: by itself, or as `pack` of a run file. Similar ones are shown first. */
export async function registerPack(file: string, { other, ...at }: RegisterOptions): Promise<void> {
  const declared = await declaredRunIn(file);
  const pack = (declared.pack ?? declared) as object;
  const client = await signedIn(at);
  const first = await client.send("POST", "/v1/packs", { json: pack });
  const similar = (first.body.similarPacks ?? []) as ListedPack[];
  const isSimilar = first.status === 409 && similar.length > 0;
  if (isSimilar && !other) {
    const [title] = sentenceOfProblem(first.body as ProblemBody).split("\n");
    throw new UsageError(`${title}\n${tableOf(similar)}\nUse one of these, or say --other when yours is another pack.`);
  }
  const answer = isSimilar
    ? await client.send("POST", "/v1/packs", { json: { ...pack, differsFrom: similar.map(({ id }) => id) } })
    : first;
  const { id, maker, name } = succeeded(answer);
  console.log(`${id}  ${maker} ${name}`);
}

function tableOf(packs: readonly ListedPack[]): string {
  return textTable(
    ["pack", "maker and name", "cells", "mAh"],
    packs.map(({ id, maker, name, chemistry, series, parallel, ratedCapacityMah }) => [
      id,
      `${maker} ${name}`,
      `${chemistry} ${series}S${parallel}P`,
      String(ratedCapacityMah),
    ]),
  );
}
