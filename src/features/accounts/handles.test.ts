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
    for (const handle of ["leaver", "LEAVER", "1eaver", "leaver_"]) {
      expect((await register(handle)).json()).toMatchObject({ status: 409, type: "/problems/already-exists" });
    }
    expect((await register("leaver2")).statusCode).toBe(201);
    const kept = await app.database.erasedHandle.findMany();
    expect(kept.map(({ digest }) => digest.length)).toEqual([32]);
    expect(Buffer.from(kept[0]?.digest ?? []).toString("latin1")).not.toContain("leaver");
  });

  // Letters of Unicode Technical Standard 39, section 4, that a handle may hold (from memory): 0 and O, 1, l and I, rn and m. Hyphens: common
  // practice, no published source.
  it.each([
    [
      "barn-owl",
      ["Barn-Owl", "barn_owl", "barn--owl", "barn-_owl", "barn-owl-", "bam-owl", "bam_0wl", "BARN-OWI", "barn-ow1"],
    ],
    ["wolf100", ["vvolf100", "w0lf100", "woIf1O0", "wo1fl00", "wolfi0o"]],
  ])("that would be taken for %s is given to nobody", async (handle, others) => {
    expect((await register(handle)).statusCode).toBe(201);
    for (const other of others) {
      const errors = [{ pointer: "/handle", message: "is taken, or looks like one that is" }];
      expect([other, (await register(other)).json()]).toEqual([
        other,
        expect.objectContaining({ status: 409, errors }),
      ]);
    }
  });

  it("that is told apart at a glance is free", async () => {
    for (const handle of ["barnowl", "barn-owls", "wolf101", "wolf-100"]) {
      expect([handle, (await register(handle)).statusCode]).toEqual([handle, 201]);
    }
  });

  it("is given once of two that are alike and are asked for at the same time", async () => {
    const answers = await Promise.all(["gannet1", "gannetl", "GannetI", "gannet-1", "gannet_l"].map(register));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([201, 201, 409, 409, 409]);
  });
});
