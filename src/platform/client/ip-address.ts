import { BlockList, isIP } from "node:net";
import ipaddr from "ipaddr.js";

/**
 * Reads an address as proxies write it: of IPv4 or IPv6, in brackets or not, with a port, a zone or a mapped IPv4 address
 * (RFC 4291, 2.5.5.2), or none of these; null for everything else.
 *
 * @returns the address in its one canonical form (RFC 5952)
 */
export function readIpAddress(text: string): string | null {
  const [, bracketed, plain] = /^(?:\[([^\]]{2,64})\](?::\d{1,5})?|([^\s[\]]{2,64}))$/.exec(text.trim()) ?? [];
  const withoutPort = bracketed ?? plain?.replace(/^([\d.]+):\d{1,5}$/, "$1") ?? "";
  const address = withoutPort.replace(/%.*$/, "");
  const family = isIP(address);
  if (family === 0 || (bracketed !== undefined && family !== 6)) return null;
  return ipaddr.process(address).toString();
}

/**
 * What an address is counted under: an IPv4 address itself, and of an IPv6 address its /64, since whoever has one address of
 * it has all 2^64 (RFC 4291, 2.5.4; RFC 6177).
 *
 * @param address in canonical form
 */
export function networkOf(address: string): string {
  const parsed = ipaddr.parse(address);
  if (parsed.kind() === "ipv4") return address;
  const groups = (parsed as ipaddr.IPv6).parts.slice(0, 4).map((group) => group.toString(16));
  return `${groups.join(":")}::/64`;
}

const loopback = new BlockList();
loopback.addSubnet("127.0.0.0", 8, "ipv4");
loopback.addAddress("::1", "ipv6");

/** Whether an address is this machine's own, which no other machine can send from (RFC 1122, 3.2.1.3; RFC 4291, 2.5.3). */
export function isLoopback(address: string): boolean {
  const family = isIP(address);
  return family !== 0 && loopback.check(address, family === 4 ? "ipv4" : "ipv6");
}
