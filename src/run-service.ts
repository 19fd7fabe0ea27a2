import { loadDemoOnce } from "./demo.js";
import { SetupService } from "./features/accounts/setup/setup.service.js";
import { DatasetService } from "./features/dataset/dataset.service.js";
import { RecordChangesService } from "./features/webhooks/record-changes/record-changes.service.js";
import { readConfig } from "./platform/config/config.js";
import { Readiness } from "./platform/health/readiness.js";
import { CAUTION } from "./platform/http/caution.js";
import { runUntilSignal } from "./platform/process/run-until-signal.js";
import { startTracing } from "./platform/tracing/start-tracing.js";
import { startService } from "./start-service.js";

const DEMO = "demo";

await runUntilSignal(async () => {
  const config = readConfig(process.env, process.argv.slice(2));
  const stopTracing = await startTracing(config.tracing);
  const service = await startService(config, config.demo ? [DEMO] : []);
  const work = async () => {
    if (config.demo) await loadDemoOnce(service, config, console.log);
    service.app.get(Readiness).done(DEMO);
    await service.app.get(DatasetService).beginDaily();
    await service.app.get(RecordChangesService).begin();
    console.log(welcome(service.url, config.demo));
    const setupToken = await service.app.get(SetupService).offer(config.setupToken);
    if (setupToken) console.log(setup(service.url, config.setupToken ? "the value of SETUP_TOKEN" : setupToken));
  };
  return { stop: () => service.stop().then(stopTracing), work };
});

function welcome(url: string, demo: boolean): string {
  const example = demo ? "/v1/rankings/power-10s?chemistry=lipo&series=4&first=3" : "/v1/protocols/full-load";
  return `
Packledger answers at ${url}
  look around, in a browser   ${url}
  read and try the REST API   ${url}/docs
  GraphQL                     ${url}/graphql
  try this                    curl '${url}${example}'
  stop                        Ctrl-C

Caution. ${CAUTION}
`;
}

function setup(url: string, token: string): string {
  return `There is no administrator yet. Whoever has this token may register as the first one, once, within 24 hours:
  POST ${url}/v1/administrators
  {"token": "${token}", "handle": "...", "password": "..."}
`;
}
