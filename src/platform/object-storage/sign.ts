import { AwsV4Signer } from "aws4fetch";
import type { ObjectStorageConfig } from "../config/config.js";

/** A request as it is signed. */
export interface Signable {
  readonly method: string;
  readonly url: URL;
  readonly headers: Readonly<Record<string, string>>;
  /** SHA-256 of the body, hexadecimal: what is sent is signed too. */
  readonly sha256: string;
}

export type Credentials = Pick<ObjectStorageConfig, "accessKeyId" | "secretAccessKey" | "region">;

/**
 * Signs a request with all its header fields (Amazon S3, API Reference, "Authenticating Requests: Using the Authorization Header (AWS
 * Signature Version 4)", payload in a single chunk).
 *
 * @param datetime of the signature, such as 20130524T000000Z; now unless it is given
 * @returns the fields with which it is sent
 */
export async function sign(
  { method, url, headers, sha256 }: Signable,
  { accessKeyId, secretAccessKey, region }: Credentials,
  datetime?: string,
): Promise<Record<string, string>> {
  const signer = new AwsV4Signer({
    method,
    url: url.href,
    headers: { ...headers, "x-amz-content-sha256": sha256 },
    accessKeyId,
    secretAccessKey,
    region,
    service: "s3",
    allHeaders: true,
    ...(datetime === undefined ? {} : { datetime }),
  });
  const signed = await signer.sign();
  return Object.fromEntries(signed.headers);
}
