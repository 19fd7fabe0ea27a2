import { createPrivateKey, generateKeyPairSync, type KeyObject } from "node:crypto";
import { readFile, stat, writeFile } from "node:fs/promises";
import { dirname } from "node:path";
import { makeFolder } from "../files/make-folder.js";

/** The private key in a file (PKCS #8, PEM); null when there is none. */
export async function readSigningKey(file: string): Promise<KeyObject | null> {
  let text: string;
  try {
    text = await readFile(file, "utf8");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
  if (process.platform !== "win32" && ((await stat(file)).mode & 0o077) !== 0) {
    throw new Error(`Other users may read the key in ${file}. Make it readable by its owner alone: chmod 600.`);
  }
  const key = createPrivateKey(text);
  if (key.asymmetricKeyType !== "ed25519") throw new Error(`The key in ${file} is not an Ed25519 key.`);
  return key;
}

/** The private key in a file, which is generated, readable by its owner alone, when there is none. */
export async function signingKeyIn(file: string): Promise<KeyObject> {
  const found = await readSigningKey(file);
  if (found) return found;
  const { privateKey } = generateKeyPairSync("ed25519");
  await makeFolder(dirname(file));
  await writeFile(file, privateKey.export({ type: "pkcs8", format: "pem" }), { mode: 0o600, flag: "wx" });
  return privateKey;
}
