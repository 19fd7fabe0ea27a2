import { hash, verify } from "@node-rs/argon2";
import { slowHashes } from "./slow-hashes.js";

// Argon2id with 19 MiB, two passes and one lane: the OWASP Password Storage Cheat Sheet's first choice, from memory.
const cost = { algorithm: 2, memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const;

export function hashPassword(password: string): Promise<string> {
  return slowHashes.run(() => hash(password, cost));
}

let decoy: Promise<string> | undefined;

/** Takes the same time whether or not there is a hash to compare with. */
export async function passwordMatches(passwordHash: string | null, password: string): Promise<boolean> {
  decoy ??= hashPassword("no account has this password");
  const stored = passwordHash ?? (await decoy);
  const matches = await slowHashes.run(() => verify(stored, password));
  return matches && passwordHash !== null;
}
