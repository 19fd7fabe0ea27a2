import { existsSync } from "node:fs";
import { mkdir } from "node:fs/promises";
import { dirname } from "node:path";

/**
 * Makes a folder and those that it lies in, where they are missing. Node's own `recursive` never ends where the system
 * says of an existing folder that nothing can be made in it because it does not exist, as Linux does of /proc.
 *
 * @param path absolute
 * @param mode of each folder that is made
 * @throws what the system says of the first folder that cannot be made
 */
export async function makeFolder(path: string, mode = 0o777): Promise<void> {
  if (existsSync(path)) return;
  const parent = dirname(path);
  if (parent !== path) await makeFolder(parent, mode);
  await mkdir(path, { mode }).catch((error: NodeJS.ErrnoException) => {
    // Another process made it meanwhile.
    if (error.code !== "EEXIST" || !existsSync(path)) throw error;
  });
}
