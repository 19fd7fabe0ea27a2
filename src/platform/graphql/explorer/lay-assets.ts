import { cp, mkdir } from "node:fs/promises";
import { join } from "node:path";
import { projectRoot } from "../../config/project-root.js";

/** Run by the build: lays what the explorer's page is made of beside the service, which then needs none of the packages. */
const FILES: Readonly<Record<string, string>> = {
  "react.js": "react/umd/react.production.min.js",
  "react-dom.js": "react-dom/umd/react-dom.production.min.js",
  "graphiql.js": "graphiql/graphiql.min.js",
  "graphiql.css": "graphiql/graphiql.min.css",
};

const folder = join(projectRoot, "dist/explorer");
await mkdir(folder, { recursive: true });
for (const [name, file] of Object.entries(FILES)) await cp(join(projectRoot, "node_modules", file), join(folder, name));
await cp(join(projectRoot, "src/platform/graphql/explorer/start.js"), join(folder, "start.js"));
