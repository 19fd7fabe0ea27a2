import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { serverAudits } from "graphql-http";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

// GraphQL over HTTP (draft of the GraphQL foundation), as its audits in the package graphql-http hold a server to it.
const audits = serverAudits({ url: () => `${app.url}/graphql` });

it("is held to every audit that the package has", () => {
  expect(audits.length).toBeGreaterThanOrEqual(61);
});

it.each(audits.map(({ id, name, fn }) => [`${id} ${name}`, fn] as const))("%s", async (_, audit) => {
  const { status, ...result } = await audit();
  expect({ status, reason: "reason" in result ? result.reason : null }).toEqual({ status: "ok", reason: null });
});
