import { beforeEach, describe, expect, it } from "@jest/globals";
import type { FastifyReply, FastifyRequest } from "fastify";
import { ConditionalRead } from "./conditional.js";

interface Asked {
  readonly headers?: Readonly<Record<string, string>>;
  readonly host?: string;
  readonly version?: number;
}

let server: object;
let reads: number;
beforeEach(() => {
  server = { answersVersion: "1" };
  reads = 0;
});

/** Asks for an answer that says which reading it is of, and of what type. */
async function ask({ headers = {}, host = "packs.example", version = 1 }: Asked, type?: string) {
  const sent: Record<string, string> = {};
  let status = 200;
  const reply = {
    header: (name: string, value: string) => Object.assign(sent, { [name]: value }),
    getHeader: (name: string) => sent[name],
    status: (code: number) => {
      status = code;
    },
  };
  const request = { url: "/v1/things", headers, protocol: "https", host, server };
  const conditional = new ConditionalRead(request as unknown as FastifyRequest, reply as unknown as FastifyReply);
  const body = await conditional.keptUnlessCurrent(
    async () => version,
    async () => {
      reads++;
      if (!type) return { reading: reads };
      reply.header("content-type", type);
      return `reading ${reads}`;
    },
  );
  return { status, body, etag: sent.etag, type: sent["content-type"] };
}

const ANNA = { authorization: "Bearer of-anna" };

describe("an answer that is kept", () => {
  it("is given to the next stranger as it was sent, and not read again", async () => {
    const first = await ask({});
    expect(first).toMatchObject({ body: '{"reading":1}', type: "application/json; charset=utf-8" });
    expect(await ask({})).toEqual(first);
    const table = await ask({ version: 2 }, "text/csv");
    expect(table).toMatchObject({ body: "reading 2", type: "text/csv" });
    expect(await ask({ version: 2 })).toEqual(table);
    expect(reads).toBe(2);
  });

  it("is never that of somebody who says who they are, and is not given to them", async () => {
    expect((await ask({ headers: ANNA })).body).toEqual({ reading: 1 });
    expect((await ask({})).body).toBe('{"reading":2}');
    expect((await ask({ headers: ANNA })).body).toEqual({ reading: 3 });
    expect((await ask({})).body).toBe('{"reading":2}');
  });

  it("is of one state, one name of the service and one service alone", async () => {
    await ask({});
    expect((await ask({ version: 2 })).body).toBe('{"reading":2}');
    expect((await ask({ host: "other.example" })).body).toBe('{"reading":3}');
    server = { answersVersion: "1" };
    expect((await ask({})).body).toBe('{"reading":4}');
  });

  it("is not sent, nor read, for who has it already", async () => {
    const { etag } = await ask({});
    expect(await ask({ headers: { "if-none-match": String(etag) } })).toMatchObject({ status: 304, body: undefined });
    expect(await ask({ headers: { ...ANNA, "if-none-match": String(etag) } })).toMatchObject({ status: 304 });
    expect(reads).toBe(1);
  });
});
