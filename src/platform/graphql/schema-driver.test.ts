import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { GraphQLSchemaHost } from "@nestjs/graphql";
import { printSchema } from "graphql";
import { startTestApp, type TestApp } from "../../../test/support/app.js";

const HANDLES = ["anna", "boris"] as const;

let apps: TestApp[];
beforeAll(async () => {
  apps = [await startTestApp(), await startTestApp()];
});
afterAll(async () => {
  for (const app of apps ?? []) await app.close();
});

describe("applications of one process", () => {
  it("each answer from their own database", async () => {
    const asked = apps.map(async (app, index) =>
      app.graphql("{ me { handle } }", { headers: await app.signIn(HANDLES[index] as string) }),
    );
    const answers = (await Promise.all(asked)).map(({ body }) => body.data);
    expect(answers).toEqual(HANDLES.map((handle) => ({ me: { handle } })));
  });

  it("have the same schema", () => {
    const [first, second] = apps.map((app) => printSchema(app.nest.get(GraphQLSchemaHost).schema));
    expect(second).toBe(first);
  });

  it("share no field, of which each would take the other's resolver", () => {
    const [first, second] = apps.map((app) => app.nest.get(GraphQLSchemaHost).schema.getTypeMap());
    for (const [name, type] of Object.entries(first ?? {})) {
      if (name.startsWith("__") || !("getFields" in type)) continue;
      const other = second?.[name] as typeof type;
      for (const [field, made] of Object.entries(type.getFields())) expect(made).not.toBe(other.getFields()[field]);
    }
  });
});
