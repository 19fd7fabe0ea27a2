import { mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { GraphQLSchemaHost } from "@nestjs/graphql";
import { lexicographicSortSchema, printSchema } from "graphql";
import { NEWEST_PROTOCOLS } from "./core/protocol/index.js";
import { ruleIndex, rulePage } from "./core/protocol/rule-page.js";
import { RULES } from "./core/protocol/rules/index.js";
import { createApp } from "./create-app.js";
import { readConfig } from "./platform/config/config.js";
import { projectRoot } from "./platform/config/project-root.js";
import { describeApi } from "./platform/http/open-api/open-api.js";
import { routePage } from "./platform/http/open-api/route-page.js";

/** What the service promises its clients, and the pages of its routes and rules, as text by file. No database is asked. */
async function contracts(): Promise<Readonly<Record<string, string>>> {
  const config = readConfig({ LOG_LEVEL: "silent" });
  const app = await createApp(config, "postgresql://nobody@127.0.0.1:1/none");
  const { schema } = app.get(GraphQLSchemaHost, { strict: false });
  const api = describeApi(app);
  const texts = {
    "contracts/openapi.json": `${JSON.stringify(api, null, 2)}\n`,
    "docs/routes.md": routePage(api),
    "contracts/schema.graphql": `${printSchema(lexicographicSortSchema(schema))}\n`,
    ...rulePages(),
  };
  await app.close();
  return texts;
}

function rulePages(): Readonly<Record<string, string>> {
  const rules = [...RULES.values()];
  const pages = rules.map((rule) => [`docs/rules/${rule.id}.md`, rulePage(rule, NEWEST_PROTOCOLS)]);
  return { "docs/rules/README.md": ruleIndex(rules), ...Object.fromEntries(pages) };
}

async function differs(file: string, text: string): Promise<boolean> {
  try {
    return (await readFile(join(projectRoot, file), "utf8")) !== text;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return true;
    throw error;
  }
}

const texts = await contracts();
if (process.argv.includes("--check")) {
  const drifted: string[] = [];
  for (const [file, text] of Object.entries(texts)) if (await differs(file, text)) drifted.push(file);
  if (drifted.length > 0) {
    console.error(`Out of date: ${drifted.join(", ")}. Regenerate them with: npm run contracts`);
    process.exit(1);
  }
} else {
  for (const [file, text] of Object.entries(texts)) {
    await mkdir(dirname(join(projectRoot, file)), { recursive: true });
    await writeFile(join(projectRoot, file), text);
  }
  const folder = join(projectRoot, "docs/rules");
  for (const name of await readdir(folder)) if (!(`docs/rules/${name}` in texts)) await rm(join(folder, name));
}
process.exit(0);
