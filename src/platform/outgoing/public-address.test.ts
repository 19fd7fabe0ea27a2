import { once } from "node:events";
import { connect } from "node:net";
import { describe, expect, it } from "@jest/globals";
import { guardedLookup, isPublicAddress, mayBeAsked, NotPublic } from "./public-address.js";

// RFC 6890 and the IANA special-purpose registries of IPv4 and IPv6 addresses (from memory): one of each block.
const SPECIAL = [
  "0.0.0.0",
  "10.0.0.1",
  "100.64.0.1",
  "127.0.0.1",
  "127.255.255.254",
  "169.254.169.254",
  "172.16.0.1",
  "172.31.255.255",
  "192.0.0.1",
  "192.0.2.1",
  "192.168.1.1",
  "198.18.0.1",
  "198.51.100.1",
  "203.0.113.1",
  "224.0.0.1",
  "240.0.0.1",
  "255.255.255.255",
  "::",
  "::1",
  "::127.0.0.1",
  "::ffff:127.0.0.1",
  "::ffff:10.0.0.1",
  "64:ff9b::127.0.0.1",
  "64:ff9b:1::1",
  "100::1",
  "2001::1",
  "2001:db8::1",
  "2002:7f00:1::1",
  "3fff::1",
  "fc00::1",
  "fd12:3456::1",
  "fe80::1",
  "fec0::1",
  "ff02::1",
];

describe("an address", () => {
  it.each(SPECIAL)("of a special-purpose block is not public: %s", (address) => {
    expect(isPublicAddress(address)).toBe(false);
  });

  it.each(["8.8.8.8", "100.63.255.255", "172.32.0.1", "2606:4700::1111", "2a00:1450::1", "::ffff:8.8.8.8"])(
    "of the Internet is public: %s",
    (address) => expect(isPublicAddress(address)).toBe(true),
  );

  it("of this machine may be asked where that is configured, and no other private one", () => {
    expect(["127.0.0.1", "::1", "10.0.0.1", "169.254.169.254"].map((one) => mayBeAsked(one, true))).toEqual([
      true,
      true,
      false,
      false,
    ]);
  });

  it.each(["", "localhost", "1", "0x7f.1"])("is none: %j", (text) => expect(isPublicAddress(text)).toBe(false));
});

describe("the lookup of a connection", () => {
  const look = (hostname: string, loopbackToo: boolean, all: boolean) =>
    new Promise((resolve) => {
      guardedLookup(loopbackToo)(hostname, { all }, (error, address) => resolve(error ?? address));
    });

  it.each([true, false])("gives no address of a name that is this machine, with all: %s", async (all) => {
    expect(await look("localhost", false, all)).toBeInstanceOf(NotPublic);
  });

  it("tells a name that is nowhere by the same words", async () => {
    expect(await look("nowhere.invalid", false, true)).toBeInstanceOf(NotPublic);
  });

  it("gives this machine's own where that is configured", async () => {
    expect(await look("localhost", true, false)).toMatch(/^(127\.0\.0\.1|::1)$/);
  });

  // DNS rebinding: the name's owner answers with a public address first and with one of the inside a moment later.
  it("is made once for a connection, which goes to what it gave", async () => {
    const answers = ["192.0.2.1", "8.8.8.8", "127.0.0.1"].map((address) => [{ address, family: 4 }]);
    let asked = 0;
    const resolve = (
      _: string,
      __: object,
      done: (error: null, found: { address: string; family: number }[]) => void,
    ) => done(null, answers[asked++] ?? []);
    const given: unknown[] = [];
    for (let connection = 0; connection < 3; connection++) {
      const lookup = guardedLookup(false, resolve as never);
      const socket = connect({
        host: "rebinding.example",
        port: 9,
        lookup: ((host: string, options: object, done: (...found: unknown[]) => void) =>
          lookup(host, options, (error, address) => {
            given.push(error ?? address);
            // As if refused: nothing is sent to a machine of somebody else.
            done(error ?? new Error("not sent"), address);
          })) as never,
      });
      await once(socket, "error").catch(() => undefined);
      socket.destroy();
    }
    expect(asked).toBe(3);
    expect(given).toEqual([expect.any(NotPublic), [{ address: "8.8.8.8", family: 4 }], expect.any(NotPublic)]);
  });

  it("gives nothing of a name with one address of the inside among public ones", async () => {
    const mixed = [
      { address: "8.8.8.8", family: 4 },
      { address: "::ffff:10.0.0.1", family: 6 },
    ];
    const resolve = (_: string, __: object, done: (error: null, found: typeof mixed) => void) => done(null, mixed);
    const given = await new Promise((done) =>
      guardedLookup(false, resolve as never)("mixed.example", { all: true }, (error, address) =>
        done(error ?? address),
      ),
    );
    expect(given).toBeInstanceOf(NotPublic);
  });
});
