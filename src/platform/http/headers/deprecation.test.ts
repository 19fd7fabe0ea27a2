import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Controller, Get, Module } from "@nestjs/common";
import { NestFactory } from "@nestjs/core";
import { Field, GraphQLSchemaBuilderModule, GraphQLSchemaFactory, ObjectType, Query, Resolver } from "@nestjs/graphql";
import { FastifyAdapter, type NestFastifyApplication } from "@nestjs/platform-fastify";
import { ApiOkResponse, ApiOperation } from "@nestjs/swagger";
import { printSchema } from "graphql";
import { parseItem } from "structured-headers";
import { describeApi } from "../open-api/open-api.js";
import { Deprecated, type Deprecation, deprecationReason } from "./deprecation.js";

const OLD: Deprecation = { since: "2027-01-31", sunset: "2028-01-31", instead: "Use `new`." };
const UNSETTLED: Deprecation = { since: "2027-01-31", instead: "Use `new`." };

@Controller("v1/old")
class OldController {
  @Get()
  @Deprecated(OLD)
  @ApiOperation({ operationId: "getOld", summary: "What was", description: "It was there." })
  @ApiOkResponse({ schema: { type: "object" } })
  get(): object {
    return {};
  }

  @Get("unsettled")
  @Deprecated(UNSETTLED)
  @ApiOkResponse({ schema: { type: "object" } })
  unsettled(): object {
    return {};
  }
}

@ObjectType()
class Thing {
  @Field(() => String, { deprecationReason: deprecationReason(OLD) })
  old: string;
}

@Resolver()
class ThingResolver {
  @Query(() => Thing)
  thing(): Thing {
    return { old: "old" };
  }
}

@Module({ controllers: [OldController], imports: [GraphQLSchemaBuilderModule] })
class OldModule {}

let app: NestFastifyApplication;
beforeAll(async () => {
  app = await NestFactory.create<NestFastifyApplication>(OldModule, new FastifyAdapter(), { logger: false });
  await app.init();
});
afterAll(() => app.close());

describe("what is deprecated", () => {
  it("says in its answers since when, and from when it may be gone", async () => {
    const { headers } = await app.inject({ url: "/v1/old" });
    // RFC 9745, 2: an Item whose value is a Date of structured fields (RFC 9651).
    expect(parseItem(String(headers.deprecation))[0]).toEqual(new Date("2027-01-31T00:00:00Z"));
    // RFC 8594, 3: an HTTP-date (RFC 9110, 5.6.7).
    expect(headers.sunset).toBe("Mon, 31 Jan 2028 00:00:00 GMT");
    expect(headers.link).toContain('rel="deprecation"');
    expect((await app.inject({ url: "/v1/old/unsettled" })).headers.sunset).toBeUndefined();
  });

  it("is so in the OpenAPI description, with what to use instead", () => {
    const { paths } = describeApi(app);
    const operation = paths["/v1/old"]?.get;
    expect(operation).toMatchObject({ deprecated: true, operationId: "getOld" });
    expect(operation?.description).toBe(
      "It was there.\n\n**Deprecated.** Since 2027-01-31: Use `new`. It may be gone from 2028-01-31.",
    );
    expect(operation?.responses["200"]).toMatchObject({ headers: { Deprecation: {}, Sunset: {} } });
  });

  it("is so in the GraphQL schema", async () => {
    const schema = await app.get(GraphQLSchemaFactory).create([ThingResolver]);
    expect(printSchema(schema)).toContain(
      'old: String! @deprecated(reason: "Since 2027-01-31: Use `new`. It may be gone from 2028-01-31.")',
    );
  });
});
