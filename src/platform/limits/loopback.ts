import { BlockList, isIP } from "node:net";

const loopback = new BlockList();
loopback.addSubnet("127.0.0.0", 8, "ipv4");
loopback.addAddress("::1", "ipv6");

/** Whether an address is this machine's own, which no other machine can send from (RFC 1122, 3.2.1.3; RFC 4291, 2.5.3). */
export function isLoopback(address: string): boolean {
  const family = isIP(address);
  return family !== 0 && loopback.check(address, family === 4 ? "ipv4" : "ipv6");
}
