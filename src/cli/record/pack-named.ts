import type { ServiceClient } from "../session/service-client.js";
import { UsageError } from "../usage-error.js";

export interface NamedPack {
  readonly id: string;
  readonly maker: string;
  readonly name: string;
}

const ID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i;

/** The one pack with this id, or with these words in its name. */
export async function packNamed(client: ServiceClient, words: string): Promise<NamedPack> {
  if (ID.test(words)) return await client.get<NamedPack>(`/v1/packs/${words}`);
  const found = await client.get<{ items: NamedPack[] }>(`/v1/packs?first=5&search=${encodeURIComponent(words)}`);
  const [first, ...others] = found.items;
  if (first && others.length === 0) return first;
  if (!first) throw new UsageError(`No pack at ${client.server} is called ${words}.`);
  const names = found.items.map(({ id, maker, name }) => `\n  ${id}  ${maker} ${name}`);
  throw new UsageError(`Several packs are called ${words}. Name one by its id:${names.join("")}`);
}
