import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Ajv2020 } from "ajv/dist/2020.js";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { PROTOCOLS } from "../../core/protocol/index.js";
import { RULES } from "../../core/protocol/rules/index.js";
import type { ProtocolRuleView } from "./rules.views.js";

interface RulePage {
  readonly items: readonly ProtocolRuleView[];
  readonly pageInfo: { readonly endCursor: string; readonly hasNextPage: boolean };
}

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

describe("the rules of a protocol", () => {
  it.each(PROTOCOLS.map((protocol) => [`${protocol.key} ${protocol.version}`, protocol] as const))(
    "%s are listed in its order with what people need, alike in both APIs",
    async (_, { key, version, rules }) => {
      const answer = await app.inject({ url: `/v1/protocols/${key}/versions/${version}/rules?first=100` });
      const { items } = answer.json<{ items: ProtocolRuleView[] }>();
      expect(items.map(({ id, severity, unit }) => [id, severity, unit])).toEqual(
        rules.map(({ rule, severity, unit }) => [rule, severity, unit]),
      );
      for (const { id, limits, observes, why, advice } of items) {
        const setting = rules.find(({ rule }) => rule === id);
        expect(Object.fromEntries(limits.map(({ name, value }) => [name, value]))).toEqual(setting?.limit);
        const sentences = [observes, why, advice, ...limits.map(({ meaning }) => meaning)];
        expect([id, sentences.filter((words) => words.length < 5)]).toEqual([id, []]);
      }
      const { body } = await app.graphql(
        `query($key: String!, $version: Int) { protocolRules(key: $key, version: $version, first: 100) { edges { node {
          id severity onlyWhenLogged unit limits { name value meaning } observes why advice alwaysAssessable } } } }`,
        { variables: { key, version } },
      );
      expect(inRestWords(body.data)).toEqual({ protocolRules: { edges: items.map((node) => ({ node })) } });
    },
  );

  it("come in pages that join to the whole", async () => {
    const [{ key, version, rules }] = PROTOCOLS as [(typeof PROTOCOLS)[number]];
    const found: string[] = [];
    let after: string | null = null;
    do {
      const url: string = `/v1/protocols/${key}/versions/${version}/rules?first=10${after ? `&after=${after}` : ""}`;
      const page: RulePage = (await app.inject({ url })).json<RulePage>();
      found.push(...page.items.map(({ id }) => id));
      after = page.pageInfo.hasNextPage ? page.pageInfo.endCursor : null;
    } while (after);
    expect(found).toEqual(rules.map(({ rule }) => rule));
  });

  it.each(["/v1/protocols/none/versions/1/rules", "/v1/protocols/full-load/versions/0/rules"])(
    "are not found at %s",
    async (url) => {
      expect((await app.inject({ url })).statusCode).toBe(404);
    },
  );
});

describe("the schema of protocols", () => {
  it("is served as a schema that any validator can hold the published documents against", async () => {
    const answer = await app.inject({ url: "/v1/protocol-schema" });
    expect(answer.headers["content-type"]).toContain("application/schema+json");
    const validate = new Ajv2020({ strict: false }).compile(answer.json());
    for (const protocol of PROTOCOLS) expect([protocol.key, validate(protocol)]).toEqual([protocol.key, true]);
    const [{ rules, ...rest }] = PROTOCOLS as [(typeof PROTOCOLS)[number]];
    expect(validate({ ...rest, rules: [{ ...rules[0], limit: {} }] })).toBe(false);
    const { body } = await app.graphql("{ protocolSchema }");
    expect(body.data).toEqual({ protocolSchema: answer.json() });
  });

  it("names every rule with its limits", async () => {
    const schema = (await app.inject({ url: "/v1/protocol-schema" })).body;
    for (const [id, { limits }] of RULES) {
      expect([id, schema.includes(`"const":"${id}"`)]).toEqual([id, true]);
      for (const meaning of Object.values(limits)) expect([id, schema.includes(meaning)]).toEqual([id, true]);
    }
  });
});
