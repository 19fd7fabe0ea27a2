import { readConfig } from "./platform/config/config.js";
import { CAUTION } from "./platform/http/caution.js";
import { runUntilSignal } from "./platform/process/run-until-signal.js";
import { startService } from "./start-service.js";

await runUntilSignal(async () => {
  const service = await startService(readConfig(process.env, process.argv.slice(2)));
  console.log(`
Packledger answers at ${service.url}
  read and try the REST API   ${service.url}/docs
  GraphQL                     ${service.url}/graphql
  try this                    curl '${service.url}/v1/packs?first=3'
  stop                        Ctrl-C

Caution. ${CAUTION}
`);
  return () => service.stop();
});
