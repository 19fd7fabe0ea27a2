/** Fewest different characters of a password. */
const MIN_DIFFERENT = 5;
/** Shortest handle that must not stand in a password. */
const MIN_CONTEXT_LENGTH = 4;

let known: Promise<ReadonlySet<string>> | undefined;

/** About 49,000 passwords that leaks have shown to be the most common, from a package: nothing is asked over a network. */
function commonPasswords(): Promise<ReadonlySet<string>> {
  known ??= import("@zxcvbn-ts/language-common").then(({ dictionary }) => new Set(dictionary["passwords-common"]));
  return known;
}

/**
 * What is wrong with a new password, beyond its length; null when it will do. It is held against common passwords, also
 * with digits and signs put around one, and against the handle (NIST SP 800-63B, 3.1.1.2: blocklist of commonly used,
 * expected or compromised passwords; clause from memory).
 */
export async function weaknessOf(password: string, handle: string): Promise<string | null> {
  const plain = password.normalize("NFKC").toLowerCase();
  if (new Set(plain).size < MIN_DIFFERENT) return `must have at least ${MIN_DIFFERENT} different characters`;
  const words = [handle.toLowerCase(), "packledger"].filter((word) => word.length >= MIN_CONTEXT_LENGTH);
  if (words.some((word) => plain.includes(word))) return "must not contain the handle or the name of the service";
  const common = await commonPasswords();
  const core = plain.replace(/^[^\p{L}]+/u, "").replace(/[^\p{L}]+$/u, "");
  if (common.has(plain) || common.has(core)) return "is one of those that are tried first, or one with signs around it";
  return null;
}
