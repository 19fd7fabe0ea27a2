import { BlockList, isIP } from "node:net";
import { readIpAddress } from "./ip-address.js";

/**
 * The proxies in front whose word is taken for the client's address: none, so many of them one behind the other, or those of
 * some networks.
 */
export type TrustedProxies = number | readonly string[];

const MAX_HOPS = 16;

/** Names of networks that stand for these: addresses of this machine (RFC 1122, RFC 4291), of links (RFC 3927) and private ones (RFC 1918, RFC 4193). */
const NAMED_NETWORKS: Readonly<Record<string, readonly string[]>> = {
  loopback: ["127.0.0.0/8", "::1/128"],
  linklocal: ["169.254.0.0/16", "fe80::/10"],
  private: ["10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7"],
};

/** Reads a number of proxies, or a list of addresses and networks with commas between; null when it is neither. */
export function readTrustedProxies(text: string): TrustedProxies | null {
  if (/^(false|no)$/i.test(text)) return 0;
  if (/^\d{1,2}$/.test(text)) return Number(text) <= MAX_HOPS ? Number(text) : null;
  const networks = text.split(",").flatMap((part) => NAMED_NETWORKS[part.trim().toLowerCase()] ?? [part.trim()]);
  return networks.every((network) => readNetwork(network) !== null) ? networks : null;
}

/**
 * Whether an address is that of a trusted proxy, for Fastify's `trustProxy`. The addresses are asked for from the
 * right: that of the connection is hop 0, the last of `X-Forwarded-For` hop 1, and so on, until one is not trusted.
 */
export function proxyTest(proxies: TrustedProxies): ((address: string, hop: number) => boolean) | false {
  if (typeof proxies === "number") {
    return proxies === 0 ? false : (address, hop) => hop < proxies && readIpAddress(address ?? "") !== null;
  }
  const trusted = new BlockList();
  for (const network of proxies) {
    const parts = readNetwork(network);
    if (parts) trusted.addSubnet(parts.address, parts.prefix, parts.family);
  }
  return (text) => {
    const address = readIpAddress(text ?? "");
    return address !== null && trusted.check(address, isIP(address) === 4 ? "ipv4" : "ipv6");
  };
}

/** A network such as `192.0.2.0/24`, or one address; null for everything else, and for all addresses at once. */
function readNetwork(text: string): { address: string; prefix: number; family: "ipv4" | "ipv6" } | null {
  const [, address = "", length] = /^([^/]+)(?:\/(\d{1,3}))?$/.exec(text) ?? [];
  const version = isIP(address);
  if (version === 0 || address.includes("%")) return null;
  const bits = version === 4 ? 32 : 128;
  const prefix = length === undefined ? bits : Number(length);
  if (prefix < 1 || prefix > bits) return null;
  return { address, prefix, family: version === 4 ? "ipv4" : "ipv6" };
}
