import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { logCase, postForm } from "../../../../test/support/uploads.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({ evaluationThreads: 1 });
});
afterAll(() => app.close());

it("a flood of checks from one address holds up nobody else's", async () => {
  const { log, pack, bench, conditions } = logCase("too-hot");
  const about = { pack: { ...pack, maker: "Any", name: "Any" }, bench: { ...bench, label: "Any" } };
  const asked = { protocol: "full-load", ...about, ...conditions };
  const headers = await app.signIn("anna");
  let open = 0;
  const first = Promise.withResolvers<void>();
  const flood = Array.from({ length: 24 }, async () => {
    open++;
    const { status } = await postForm(`${app.url}/v1/checks`, asked, log);
    open--;
    first.resolve();
    return status;
  });
  await first.promise;
  const own = await postForm(`${app.url}/v1/checks`, asked, log, { headers });
  expect(own.status).toBe(200);
  expect(open).toBeGreaterThan(8);
  expect(new Set(await Promise.all(flood))).toEqual(new Set([200]));
});
