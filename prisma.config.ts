import { defineConfig } from "prisma/config";

// Generating the client needs no schema engine, but the command line downloads one unless it is named a file.
process.env.PRISMA_SCHEMA_ENGINE_BINARY ??= process.execPath;

export default defineConfig({ schema: "prisma/schema.prisma", migrations: { path: "prisma/migrations" } });
