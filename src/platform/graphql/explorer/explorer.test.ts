import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";

let app: TestApp;
let page: string;
let policy: Readonly<Record<string, readonly string[]>>;
beforeAll(async () => {
  app = await startTestApp();
  // The field Accept of a browser that goes to an address (Fetch standard, 4.4, "document").
  const accept = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8";
  const answer = await app.inject({ url: "/graphql", headers: { accept } });
  page = answer.body;
  policy = readPolicy(String(answer.headers["content-security-policy"]));
});
afterAll(() => app.close());

/** Content Security Policy Level 3, 2.2: directives with semicolons between them. */
function readPolicy(field: string): Record<string, readonly string[]> {
  const directives = field.split(";").map((one) => one.trim().split(/\s+/));
  return Object.fromEntries(directives.map(([name = "", ...sources]) => [name, sources]));
}

const assets = () => [...page.matchAll(/\b(?:src|href)="([^"]+)"/g)].map(([, address]) => String(address));

describe("the explorer at /graphql", () => {
  it("is made of files of this service alone, all of which are there with their media types", async () => {
    const files = assets().filter((address) => address !== "data:,");
    expect(files.length).toBeGreaterThan(3);
    for (const file of files) {
      expect(new URL(file, app.url).origin).toBe(new URL(app.url).origin);
      const answer = await app.inject({ url: file });
      const mediaType = file.endsWith(".css") ? "text/css; charset=utf-8" : "text/javascript; charset=utf-8";
      expect([file, answer.statusCode, answer.headers["content-type"]]).toEqual([file, 200, mediaType]);
      expect(answer.rawPayload.length).toBeGreaterThan(500);
    }
  });

  it("allows scripts from files alone, and nothing from another origin", () => {
    expect(policy["script-src"]).toEqual(["'self'"]);
    expect(policy["default-src"]).toEqual(["'none'"]);
    expect(policy["connect-src"]).toEqual(["'self'"]);
    const allowed = new Set(["'self'", "'none'", "data:", "'unsafe-inline'"]);
    expect(
      Object.values(policy)
        .flat()
        .filter((source) => !allowed.has(source)),
    ).toEqual([]);
    expect(page).not.toMatch(/<script(?![^>]*\bsrc=)|\bon[a-z]+="|javascript:/i);
  });

  it("loads styles whose fonts and pictures are their own", async () => {
    const styles = assets().find((address) => address.endsWith(".css"));
    const { body } = await app.inject({ url: String(styles) });
    const addresses = [...body.matchAll(/url\(\s*["']?([^"')]*)/g)].map(([, address]) => String(address));
    expect(addresses.filter((address) => !/^(data:|#)/.test(address))).toEqual([]);
    expect(body).not.toMatch(/@import/);
  });

  it("is for browsers: a program that asks for an answer gets one", async () => {
    const query = encodeURIComponent("{ __typename }");
    const asked = await app.inject({ url: `/graphql?query=${query}`, headers: { accept: "text/html,*/*" } });
    expect(asked.json()).toEqual({ data: { __typename: "Query" } });
    const empty = await app.inject({ url: "/graphql", headers: { accept: "application/json" } });
    expect(empty.statusCode).toBe(400);
  });
});
