import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { createRandom } from "../../seed/simulator/random.js";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import { describeApi } from "../../src/platform/http/open-api/open-api.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { MalformedRequests } from "./malformed-requests.js";

const REQUESTS = Number(process.env.FUZZ_REQUESTS ?? 2_000);
const SEED = Number(process.env.FUZZ_SEED ?? 7);

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({ loginFailures: 1e6 });
});
afterAll(() => app.close());

it(
  `answers ${REQUESTS} malformed requests without a fault of its own`,
  async () => {
    const credentials = [
      (await app.signIn("fuzz-tester")).authorization,
      (await app.signIn("fuzz-moderator", "moderator")).authorization,
      (await app.signIn("fuzz-administrator", "administrator")).authorization,
      "Bearer",
      "Basic YTpi",
    ];
    // Its events would come for an hour.
    const stream = "/v1/notices/events";
    const described = Object.keys(describeApi(app.nest).paths).map((path) =>
      path === stream ? `${stream}?seconds=0` : path,
    );
    const paths = [...described, "", "/", "/docs", "/openapi.json", "/problems/{code}"];
    const requests = new MalformedRequests(createRandom(SEED), paths, credentials);
    const faults: unknown[] = [];
    const statuses = new Map<number, number>();
    for (let i = 0; i < REQUESTS; i++) {
      const request = requests.next();
      const { statusCode, headers, body } = await app.inject(request);
      statuses.set(statusCode, (statuses.get(statusCode) ?? 0) + 1);
      if (statusCode >= 500 || headers["set-cookie"] !== undefined) faults.push({ request, statusCode, body });
      if (/\bat .+\.(js|ts):\d+/.test(body)) faults.push({ request, statusCode, body: "shows a stack" });
    }
    expect(faults).toEqual([]);
    // A fuzz that never gets past the door shows nothing.
    for (const status of [200, 400, 401, 404, 405, 415, 422])
      expect([status, statuses.has(status)]).toEqual([status, true]);
    expect(await verifyChain(app.database)).toMatchObject({ broken: null });
  },
  Math.max(60_000, REQUESTS * 20),
);
