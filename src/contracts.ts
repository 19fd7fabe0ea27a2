import { mkdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { GraphQLSchemaHost } from "@nestjs/graphql";
import { lexicographicSortSchema, printSchema } from "graphql";
import { createApp } from "./create-app.js";
import { readConfig } from "./platform/config/config.js";
import { projectRoot } from "./platform/config/project-root.js";
import { describeApi } from "./platform/http/open-api.js";

const folder = join(projectRoot, "contracts");

/** What the service promises its clients, as text. No database is asked. */
async function contracts(): Promise<Readonly<Record<string, string>>> {
  const config = readConfig({ LOG_LEVEL: "silent" });
  const app = await createApp(config, "postgresql://nobody@127.0.0.1:1/none");
  const { schema } = app.get(GraphQLSchemaHost, { strict: false });
  const texts = {
    "openapi.json": `${JSON.stringify(describeApi(app), null, 2)}\n`,
    "schema.graphql": `${printSchema(lexicographicSortSchema(schema))}\n`,
  };
  await app.close();
  return texts;
}

async function differs(file: string, text: string): Promise<boolean> {
  try {
    return (await readFile(join(folder, file), "utf8")) !== text;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return true;
    throw error;
  }
}

const texts = Object.entries(await contracts());
if (process.argv.includes("--check")) {
  const drifted: string[] = [];
  for (const [file, text] of texts) if (await differs(file, text)) drifted.push(file);
  if (drifted.length > 0) {
    console.error(`The code promises other than contracts/${drifted.join(" and contracts/")}: npm run contracts`);
    process.exit(1);
  }
} else {
  await mkdir(folder, { recursive: true });
  for (const [file, text] of texts) await writeFile(join(folder, file), text);
}
process.exit(0);
