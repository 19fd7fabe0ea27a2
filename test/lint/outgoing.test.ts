import { readFileSync } from "node:fs";
import { glob } from "node:fs/promises";
import { join } from "node:path";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

/** What opens a connection to an address. */
const ASKS =
  /\bfetch\(|from "(?:node:)?(?:https?|http2|tls|dgram|undici|axios|got|openid-client|nodemailer)"|\bnew (?:WebSocket|EventSource)\b|\b(?:net\.)?(?:connect|createConnection)\(\{?\s*(?:port|host)/;
/** Imports that open none. */
const SILENT = /^import (?:type .*|\{ (?:createServer|maxHeaderSize)(?:, type \w+)* \} from "node:http";)$/gm;

it("only the parts of identity provider, mail, object storage and tracing, by configuration alone, and the guarded sender of webhooks ask other addresses", async () => {
  const asking: string[] = [];
  for await (const path of glob("src/**/*.ts", { cwd: projectRoot })) {
    const isPart = !path.endsWith(".test.ts") && !path.startsWith("src/generated/");
    // Types are gone when it runs, and a server does not ask.
    const text = isPart ? readFileSync(join(projectRoot, path), "utf8").replace(SILENT, "") : "";
    if (ASKS.test(text)) asking.push(path);
  }
  expect(asking.sort()).toEqual([
    // The command line asks the service that its user names.
    "src/cli/operator/health.ts",
    "src/cli/session/service-client.ts",
    "src/platform/identity-provider/identity-provider.ts",
    "src/platform/object-storage/requests.ts",
    "src/platform/outgoing/mailer.ts",
    "src/platform/outgoing/post-json.ts",
    // The collector that OTEL_EXPORTER_OTLP_ENDPOINT names.
    "src/platform/tracing/exporter.ts",
    // A page asks the service that it comes from: its content policy allows no other.
    "src/web/browser/service/service.ts",
  ]);
});
