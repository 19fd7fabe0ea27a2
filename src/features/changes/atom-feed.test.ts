import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { SaxesParser, type SaxesTagNS } from "saxes";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { StoredRuns } from "../../../test/support/stored-runs.js";
import { CONFIG } from "../../platform/config/config.js";

// RFC 4287 (The Atom Syndication Format), its sections named beside the checks; well-formedness by an XML parser of its own.

const ATOM = "http://www.w3.org/2005/Atom";

interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: Element[];
  text: string;
}

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
  const runs = new StoredRuns(app);
  const run = await runs.add("anna", "Sprint");
  await runs.add("bert", "Sprint");
  await runs.withdraw(run);
  const createdById = await runs.tester("anna");
  await app.database.pack.create({ data: { ...productOf(`<b>A & "B"</b> ]]> 'C' \u{1F50B}`), createdById } });
});
afterAll(() => app.close());

/** A document with namespaces resolved; anything that is not well-formed throws. */
function parsed(text: string): Element {
  const parser = new SaxesParser({ xmlns: true });
  const root: Element = { name: "", attributes: {}, children: [], text: "" };
  const open = [root];
  parser.on("error", (error) => {
    throw error;
  });
  parser.on("opentag", (tag: SaxesTagNS) => {
    expect(tag.uri).toBe(ATOM);
    const attributes = Object.fromEntries(Object.entries(tag.attributes).map(([name, { value }]) => [name, value]));
    const element = { name: tag.local, attributes, children: [], text: "" };
    open.at(-1)?.children.push(element);
    open.push(element);
  });
  parser.on("text", (piece) => {
    const element = open.at(-1);
    if (element) element.text += piece;
  });
  parser.on("closetag", () => open.pop());
  parser.write(text).close();
  return root.children[0] as Element;
}

const named = (element: Element, name: string) => element.children.filter((child) => child.name === name);
const only = (element: Element, name: string): Element => {
  const found = named(element, name);
  expect([name, found.length]).toEqual([name, 1]);
  return found[0] as Element;
};

/** 3.3: an RFC 3339 date-time, with an upper-case T and Z. */
const DATE = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$/;

const read = async (headers = {}) => {
  const answer = await app.inject({ url: "/v1/changes.atom", headers });
  expect([answer.statusCode, answer.headers["content-type"]]).toEqual([200, "application/atom+xml; charset=utf-8"]);
  return parsed(answer.body);
};

describe("the feed of changes", () => {
  it("is an Atom feed with all that it must have (4.1.1)", async () => {
    const feed = await read();
    expect(feed.name).toBe("feed");
    expect(() => new URL(only(feed, "id").text)).not.toThrow();
    expect(only(feed, "title").text).not.toBe("");
    expect(only(feed, "updated").text).toMatch(DATE);
    expect(only(only(feed, "author"), "name").text).not.toBe("");
    const self = named(feed, "link").filter(({ attributes }) => attributes.rel === "self");
    expect(self.map(({ attributes }) => new URL(attributes.href ?? "").pathname)).toEqual(["/v1/changes.atom"]);
  });

  it("links to where the operator says that the service is, whatever host was asked", async () => {
    const config = app.nest.get<{ publicUrl: URL | null }>(CONFIG);
    config.publicUrl = new URL("https://packs.example/");
    const answer = await app.inject({ url: "/v1/changes.atom", headers: { host: "elsewhere.example" } });
    config.publicUrl = null;
    expect(answer.body).toContain('"https://packs.example/v1/changes.atom"');
    expect(answer.body).not.toContain("elsewhere.example");
  });

  // RFC 9112, 3.2: a server answers 400 to a request whose Host is none.
  it.each(["a b", "packs.example/path", "<packs>", "user@packs.example"])(
    "is not made for the host %s",
    async (host) => {
      const answer = await app.inject({ url: "/v1/changes.atom", headers: { host } });
      expect([answer.statusCode, answer.json<{ code: string }>().code]).toEqual([400, "malformed-request"]);
    },
  );

  it("has entries with all that they must have, the newest first (4.1.2)", async () => {
    const feed = await read();
    const entries = named(feed, "entry");
    expect(entries.length).toBeGreaterThan(5);
    const ids = entries.map((entry) => only(entry, "id").text);
    expect(new Set(ids).size).toBe(ids.length);
    for (const entry of entries) {
      expect(() => new URL(only(entry, "id").text)).not.toThrow();
      expect(only(entry, "title").text).not.toBe("");
      expect(only(entry, "updated").text).toMatch(DATE);
      // 4.1.3.3: content of type text has no child elements.
      const content = only(entry, "content");
      expect([content.attributes.type, content.children]).toEqual(["text", []]);
      // 4.1.2: at most one alternate link of one type and language; 4.2.7.1: links have an href.
      const links = named(entry, "link");
      expect(links.map(({ attributes }) => attributes.rel)).toEqual(["alternate"]);
      expect(() => new URL(links[0]?.attributes.href ?? "")).not.toThrow();
      // 4.2.2: a category has a term.
      expect(named(entry, "category").every(({ attributes }) => (attributes.term ?? "") !== "")).toBe(true);
    }
    const times = entries.map((entry) => only(entry, "updated").text);
    expect(times).toEqual(times.toSorted().reverse());
    expect(only(feed, "updated").text).toBe(times[0]);
  });

  it("keeps every id, by whichever name and port the service is reached (4.2.6)", async () => {
    const idsBy = async (host: string) => {
      const feed = await read({ host });
      return [feed, ...named(feed, "entry")].map((one) => only(one, "id").text);
    };
    const ids = await idsBy("record.example");
    expect(ids.every((id) => /^urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/.test(id))).toBe(true);
    expect(await idsBy("mirror.example:8080")).toEqual(ids);
  });

  it("says what people call things word for word, whatever signs of markup it holds", async () => {
    const titles = named(await read(), "entry").map((entry) => only(entry, "title").text);
    expect(titles).toContain(`Pack registered: Halden Cells <b>A & "B"</b> ]]> 'C' \u{1F50B}, 4S`);
    expect(titles).toContain("Run accepted: Halden Cells Sprint, 4S, measured by bert");
    expect(titles).toContain("Run withdrawn");
  });

  it("is answered 304 until something changes", async () => {
    const { headers } = await app.inject({ url: "/v1/changes.atom" });
    const again = { "if-none-match": String(headers.etag) };
    expect((await app.inject({ url: "/v1/changes.atom", headers: again })).statusCode).toBe(304);
    await app.database.pack.updateMany({ data: { connector: "plug" } });
    expect((await app.inject({ url: "/v1/changes.atom", headers: again })).statusCode).toBe(200);
  });
});
