/** Imports go one way: feature -> platform, feature -> core. */
export default {
  forbidden: [
    {
      name: "core-imports-only-core",
      comment:
        "The science stands on its own; it uses what computes: decoding, decompression, spreadsheets, matrices, schemas, ticks, paths.",
      severity: "error",
      from: { path: "^src/core/", pathNot: "\\.test\\.ts$" },
      to: {
        pathNot:
          "^(src/core/|(node:)?(util|stream|zlib)$|node_modules/(ml-matrix|ajv|fflate|read-excel-file|d3-array|d3-shape)/)",
      },
    },
    {
      name: "check-needs-no-service",
      comment: "A check at the command line starts without the service: no framework, no database, no GraphQL.",
      severity: "error",
      from: { path: "^src/cli/logs/check\\.ts$" },
      to: {
        reachable: true,
        path: "^(src/(features|generated)/|node_modules/(@nestjs|@prisma|@fastify|fastify|graphql|mercurius|pg|graphile-worker|class-validator)/)",
      },
    },
    {
      name: "platform-imports-no-feature",
      comment: "What features stand on knows none of them.",
      severity: "error",
      from: { path: "^src/platform/" },
      to: { path: "^src/(features/|[^/]+\\.ts$)" },
    },
    {
      name: "feature-through-its-front",
      comment: "A feature reaches another only through its module, its service and its views.",
      severity: "error",
      from: { path: "^src/features/([^/]+)/" },
      to: { path: "^src/features/", pathNot: ["^src/features/$1/", "\\.(module|service|views)\\.ts$"] },
    },
    {
      name: "page-through-the-public-api",
      comment:
        "The page asks the API as any client does; of the house it knows the core, the files and where a request comes from.",
      severity: "error",
      from: { path: "^src/web/", pathNot: "\\.test\\.ts$" },
      to: {
        path: "^(src|prisma|seed)/",
        pathNot:
          "^src/(web/|core/|generated/public-api\\.ts$|platform/(client/client|config/project-root|http/caution)\\.ts$)",
      },
    },
    {
      name: "browsers-get-core-alone",
      comment:
        "What browsers run imports the core and nothing that needs Node; it shares the types of the contract and words with the pages.",
      severity: "error",
      from: { path: "^src/web/browser/", pathNot: "\\.test\\.ts$" },
      to: { pathNot: "^(src/(core|web/browser)/|src/(generated/public-api|web/words)\\.ts$|node_modules/pako/)" },
    },
    {
      name: "features-know-no-page",
      severity: "error",
      from: { path: "^src/(core|features|platform|cli)/" },
      to: { path: "^src/web/" },
    },
    {
      name: "sql-lives-in-repositories",
      comment: "Only repositories ask the database; a type may be named anywhere.",
      severity: "error",
      from: { path: "^src/features/", pathNot: "\\.(repository|test)\\.ts$" },
      to: { path: "^src/platform/database/database\\.ts$", dependencyTypesNot: ["type-only"] },
    },
    {
      name: "no-circles",
      severity: "error",
      from: { pathNot: "^src/generated/" },
      to: { circular: true, viaOnly: { pathNot: "^src/generated/" } },
    },
    {
      name: "no-tests-in-the-service",
      severity: "error",
      from: { path: "^(src|prisma|seed)/", pathNot: "\\.test\\.ts$" },
      to: { path: "(^test/|\\.test\\.ts$)" },
    },
    {
      name: "no-schema-engine-in-the-service",
      comment: "Prisma's engine is there while migrations are written and tested, and in no production install.",
      severity: "error",
      from: { path: "^(src|prisma|seed)/", pathNot: "(\\.test\\.ts$|^prisma/engine/)" },
      to: { path: "^prisma/engine/" },
    },
    {
      name: "no-development-packages-in-the-service",
      comment:
        "Prisma's engine writes migrations; a short runner applies them. What browsers run is bundled by the build.",
      severity: "error",
      from: {
        path: "^(src|prisma|seed)/",
        pathNot: "(\\.test\\.ts$|^prisma/engine/|^src/web/(browser/|api/write-types\\.js$))",
      },
      to: { dependencyTypes: ["npm-dev", "npm-no-pkg", "npm-unknown"], pathNot: "node_modules/@types/" },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    tsConfig: { fileName: "tsconfig.json" },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: {
      exportsFields: ["exports"],
      conditionNames: ["import", "node", "default"],
      extensions: [".ts", ".js"],
    },
  },
};
