import { readConfig } from "./platform/config/config.js";
import { CAUTION } from "./platform/http/caution.js";
import { startService } from "./start-service.js";

async function main(): Promise<void> {
  const service = await startService(readConfig(process.env, process.argv.slice(2)));
  let isStopping = false;
  for (const signal of ["SIGINT", "SIGTERM"] as const) {
    process.on(signal, () => {
      if (isStopping) return;
      isStopping = true;
      service.stop().then(
        () => process.exit(0),
        (error: unknown) => {
          console.error(error);
          process.exit(1);
        },
      );
    });
  }
  console.log(
    [
      "",
      `Packledger answers at ${service.url}`,
      `  read and try the REST API   ${service.url}/docs`,
      `  GraphQL                     ${service.url}/graphql`,
      `  try this                    curl '${service.url}/v1/packs?first=3'`,
      `  stop                        Ctrl-C`,
      "",
      `Caution. ${CAUTION}`,
      "",
    ].join("\n"),
  );
}

main().catch((error: unknown) => {
  console.error(error instanceof Error && !process.env.DEBUG ? error.message : error);
  process.exit(1);
});
