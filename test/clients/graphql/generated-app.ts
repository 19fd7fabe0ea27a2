import { join, relative } from "node:path";
import { generate } from "@graphql-codegen/cli";
import { projectRoot } from "../../../src/platform/config/project-root.js";
import { CompiledApp } from "../compiled-app.js";

/** An app with a client that is generated from the schema which is promised to clients. */
export async function generateGraphqlApp(): Promise<CompiledApp> {
  const app = await CompiledApp.copy(join(import.meta.dirname, "app"));
  const files = await generate(
    {
      schema: join(projectRoot, "contracts/schema.graphql"),
      documents: join(app.folder, "app.ts"),
      silent: true,
      errorsOnly: true,
      generates: {
        [`${app.folder}/generated/`]: {
          preset: "client",
          presetConfig: { fragmentMasking: false },
          config: {
            documentMode: "string",
            enumType: "native",
            importExtension: ".js",
            useTypeImports: true,
            strictScalars: true,
            scalars: { DateTime: "string", JsonObject: "Record<string, unknown>" },
          },
        },
      },
    },
    false,
  );
  for (const { filename, content } of files) await app.write(relative(app.folder, filename), content);
  return app;
}
