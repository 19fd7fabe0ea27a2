import type { ObjectStorageConfig } from "../config/config.js";

type Bucket = Pick<ObjectStorageConfig, "endpoint" | "bucket" | "addressing" | "prefix">;

/** Where an object is, below the prefix; the bucket itself where the key is empty. */
export function addressOf(
  { endpoint, bucket, addressing, prefix }: Bucket,
  key: string,
  query: Readonly<Record<string, string>> = {},
): URL {
  const path = key === "" ? "" : `${prefix}${key}`;
  const url = new URL(addressing === "path" ? `/${bucket}/${path}` : `/${path}`, endpoint);
  if (addressing === "virtual") url.host = `${bucket}.${endpoint.host}`;
  for (const [name, value] of Object.entries(query)) url.searchParams.set(name, value);
  return url;
}
