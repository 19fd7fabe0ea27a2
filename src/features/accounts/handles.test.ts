import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";

const password = "correct horse battery";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

const register = (handle: string) =>
  app.inject({ method: "POST", url: "/v1/accounts", payload: { handle, password: `${password} ${handle.length}` } });

describe("a handle", () => {
  it.each(["admin", "M0derator", "packledger-team"])(
    "that speaks for the service is given to nobody: %s",
    async (handle) => {
      expect((await register(handle)).json()).toMatchObject({ status: 422, errors: [{ pointer: "/handle" }] });
    },
  );

  it("of an erased account is given to nobody, whatever its case, and is not kept as text", async () => {
    const headers = await app.signIn("leaver");
    const erased = await app.inject({ method: "POST", url: "/v1/accounts/me/erasure", payload: { password }, headers });
    expect(erased.statusCode).toBe(200);
    for (const handle of ["leaver", "LEAVER"]) {
      expect((await register(handle)).json()).toMatchObject({ status: 409, type: "/problems/already-exists" });
    }
    expect((await register("leaver2")).statusCode).toBe(201);
    const kept = await app.database.erasedHandle.findMany();
    expect(kept.map(({ digest }) => digest.length)).toEqual([32]);
    expect(Buffer.from(kept[0]?.digest ?? []).toString("latin1")).not.toContain("leaver");
  });
});
