import { existsSync } from "node:fs";
import { dirname, join } from "node:path";

function folderWithPackageJson(from: string): string {
  if (existsSync(join(from, "package.json"))) return from;
  const parent = dirname(from);
  if (parent === from) throw new Error("package.json was not found above the program");
  return folderWithPackageJson(parent);
}

/** The folder of package.json, whether the sources run or what was built from them. */
export const projectRoot = folderWithPackageJson(import.meta.dirname);
