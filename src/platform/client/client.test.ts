import { describe, expect, it } from "@jest/globals";
import Fastify from "fastify";
import { type Client, clientOf } from "./client.js";
import { networkOf, readIpAddress } from "./ip-address.js";
import { proxyTest, type TrustedProxies } from "./trusted-proxies.js";

/** Where a server finds a request to come from. */
async function found(
  proxies: TrustedProxies,
  peer: string,
  headers: Record<string, string | string[]>,
): Promise<Client> {
  const server = Fastify({ trustProxy: proxyTest(proxies) });
  server.get("/", async (request) => clientOf(request));
  const answer = await server.inject({ url: "/", remoteAddress: peer, headers });
  await server.close();
  return answer.json<Client>();
}

const forwardedFor = (value: string | string[]) => ({ "x-forwarded-for": value });
const CLIENT = "203.0.113.9";
const PROXY = "10.1.2.3";
const INNER = "10.1.2.4";

// RFC 5737 and RFC 3849: addresses for documentation; RFC 1918: private ones.
describe("the address of a client", () => {
  it.each<[string, TrustedProxies, string, Record<string, string | string[]>, string]>([
    ["no proxy, no header", 0, CLIENT, {}, CLIENT],
    ["no proxy, and a header all the same", 0, CLIENT, forwardedFor("192.0.2.1"), CLIENT],
    ["one proxy", 1, PROXY, forwardedFor(CLIENT), CLIENT],
    ["one proxy, and what the client had written itself", 1, PROXY, forwardedFor(`127.0.0.1, ${CLIENT}`), CLIENT],
    ["one proxy that says nothing", 1, PROXY, {}, PROXY],
    ["two proxies", 2, PROXY, forwardedFor(`127.0.0.1, ${CLIENT}, ${INNER}`), CLIENT],
    ["more proxies than addresses", 3, PROXY, forwardedFor(CLIENT), CLIENT],
    ["a list of networks", ["10.0.0.0/8"], PROXY, forwardedFor(`127.0.0.1, ${CLIENT}, ${INNER}`), CLIENT],
    ["a list, and a peer not in it", ["10.0.0.0/8"], "192.0.2.7", forwardedFor(CLIENT), "192.0.2.7"],
    ["a list, and a mapped peer", ["10.0.0.0/8"], `::ffff:${PROXY}`, forwardedFor(CLIENT), CLIENT],
    ["a list of IPv6", ["2001:db8:9::/48"], "2001:db8:9::1", forwardedFor("2001:db8:1:2:3::4"), "2001:db8:1:2::/64"],
    ["several header lines", 1, PROXY, forwardedFor(["192.0.2.1", CLIENT]), CLIENT],
    ["empty entries", 1, PROXY, forwardedFor(`192.0.2.1, , ,${CLIENT}, , `), CLIENT],
    ["nothing but commas", 1, PROXY, forwardedFor(" , ,,"), PROXY],
    ["a port", 1, PROXY, forwardedFor(`${CLIENT}:4711`), CLIENT],
    ["IPv6 in brackets with a port", 1, PROXY, forwardedFor("[2001:db8::1]:443"), "2001:db8:0:0::/64"],
    ["a mapped IPv4 address", 1, PROXY, forwardedFor(`::ffff:${CLIENT}`), CLIENT],
    ["a mapped address in hexadecimal", 1, PROXY, forwardedFor("::ffff:cb00:7109"), CLIENT],
    ["a zone", 1, PROXY, forwardedFor("fe80::1%eth0"), "fe80:0:0:0::/64"],
    ["garbage from the proxy", 1, PROXY, forwardedFor(`${CLIENT}, unknown`), PROXY],
    ["garbage from an inner proxy", 2, PROXY, forwardedFor(`${CLIENT}, unknown, ${INNER}`), INNER],
    ["octal digits", 1, PROXY, forwardedFor("0177.0.0.1"), PROXY],
    ["a very long header", 1, PROXY, forwardedFor(`${"127.0.0.1, ".repeat(1_000)}${CLIENT}`), CLIENT],
    ["Forwarded, which is not what is configured", 1, PROXY, { forwarded: "for=192.0.2.1" }, PROXY],
    ["another field", 1, PROXY, { "x-real-ip": "192.0.2.1", "x-client-ip": "192.0.2.2" }, PROXY],
  ])("with %s", async (_, proxies, peer, headers, network) => {
    expect(await found(proxies, peer, headers)).toEqual({ network, isThisMachine: false });
  });

  it.each<[string, TrustedProxies, string, Record<string, string>, boolean]>([
    ["a program on it", 0, "127.0.0.1", {}, true],
    ["a program on it, over IPv6", 0, "::1", {}, true],
    ["a program on it, over mapped IPv4", 0, "::ffff:127.0.0.1", {}, true],
    ["a program on it, with proxies configured", 1, "127.0.0.1", {}, true],
    ["another machine", 0, "192.0.2.1", {}, false],
    ["another machine that says so", 0, "192.0.2.1", forwardedFor("127.0.0.1") as Record<string, string>, false],
    ["a trusted proxy that says so", 1, PROXY, { "x-forwarded-for": "127.0.0.1" }, false],
    ["a trusted proxy on it that says so", ["127.0.0.0/8"], "127.0.0.1", { "x-forwarded-for": "::1" }, false],
    ["a proxy on it that is not configured", 0, "127.0.0.1", { "x-forwarded-for": "127.0.0.1" }, false],
    ["Forwarded", 0, "127.0.0.1", { forwarded: "for=127.0.0.1" }, false],
    ["Via", 0, "127.0.0.1", { via: "1.1 proxy" }, false],
    ["an empty field", 0, "127.0.0.1", { "x-forwarded-for": "" }, false],
  ])("is this machine's or not for %s", async (_, proxies, peer, headers, expected) => {
    expect((await found(proxies, peer, headers)).isThisMachine).toBe(expected);
  });
});

describe("addresses", () => {
  it.each<[string, string | null]>([
    // RFC 5952, 4: the canonical form.
    ["2001:DB8:0:0:0:0:0:1", "2001:db8::1"],
    [" 192.0.2.1 ", "192.0.2.1"],
    ["192.0.2.1:80", "192.0.2.1"],
    ["[192.0.2.1]", null],
    ["192.0.2.256", null],
    ["1", null],
    ["0x7f.1", null],
    ["127.1", null],
    ["", null],
    ["_hidden", null],
    ["[::1", null],
    ["a".repeat(10_000), null],
  ])("%s", (text, address) => {
    expect(readIpAddress(text)).toBe(address);
  });

  it("of IPv6 stand for their /64 (RFC 4291, 2.5.4)", () => {
    expect(networkOf("2001:db8:a:b:c:d:e:f")).toBe("2001:db8:a:b::/64");
    expect(networkOf("2001:db8:a:b::1")).toBe(networkOf("2001:db8:a:b:ffff::"));
    expect(networkOf("2001:db8:a:c::1")).not.toBe(networkOf("2001:db8:a:b::1"));
  });
});
