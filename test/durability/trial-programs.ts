import { join } from "node:path";
import { projectRoot } from "../../src/platform/config/project-root.js";

/** A program of the build of this folder, or of another one. */
export const built = (name: string, root: string = projectRoot): string => join(root, "dist", "src", name);

/** What service and worker of a trial are told: an empty record, and as long as it takes for what is computed. */
export const trialEnvironment = (
  connectionString: string,
  url: string,
  more: Readonly<Record<string, string>> = {},
): Readonly<Record<string, string>> => ({
  DATABASE_URL: connectionString,
  PORT: new URL(url).port,
  DEMO: "false",
  LOG_LEVEL: "error",
  EVALUATION_SECONDS: "3600",
  ...more,
});
