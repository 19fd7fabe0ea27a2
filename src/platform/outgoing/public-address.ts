import { type LookupAddress, type LookupOptions, lookup } from "node:dns";
import { isIP } from "node:net";
import ipaddr from "ipaddr.js";
import { isLoopback } from "../client/ip-address.js";

/** The host has no address that may be asked. Which other addresses it has is not told. */
export class NotPublic extends Error {
  constructor() {
    super("the host has no public address");
  }
}

/** IPv6 that is given out to be reached from anywhere (RFC 4291, 2.4; IANA, IPv6 Global Unicast Address Space). */
const GLOBAL_UNICAST = ipaddr.IPv6.parseCIDR("2000::/3");

/**
 * Whether an address is one of the public Internet: none of the special-purpose registries (RFC 6890), nor one that embeds
 * an address of IPv4 and would be translated or tunnelled to it.
 */
export function isPublicAddress(address: string): boolean {
  if (isIP(address) === 0) return false;
  const parsed = ipaddr.process(address);
  if (parsed.range() !== "unicast") return false;
  return parsed.kind() === "ipv4" || (parsed as ipaddr.IPv6).match(GLOBAL_UNICAST);
}

/** Which addresses may be asked: public ones, and where that is configured this machine's own. */
export function mayBeAsked(address: string, loopbackToo: boolean): boolean {
  return isPublicAddress(address) || (loopbackToo && isLoopback(address));
}

type Resolve = (
  hostname: string,
  options: LookupOptions & { readonly all: true },
  callback: (error: NodeJS.ErrnoException | null, addresses: LookupAddress[]) => void,
) => void;
type LookupCallback = (error: NodeJS.ErrnoException | null, address: string | LookupAddress[], family?: number) => void;

/**
 * A lookup for a connection that is about to be made: what it gives is what is connected to, so that a name cannot have
 * another address by then. A name with any address that may not be asked is refused as a whole.
 *
 * @param resolve looks a name up; as the system does unless it is given
 */
export function guardedLookup(loopbackToo: boolean, resolve: Resolve = lookup) {
  return (hostname: string, options: LookupOptions, callback: LookupCallback): void => {
    resolve(hostname, { ...options, all: true }, (error, addresses) => {
      const isAllowed =
        !error && addresses.length > 0 && addresses.every(({ address }) => mayBeAsked(address, loopbackToo));
      const [first] = addresses ?? [];
      if (!isAllowed || !first) callback(new NotPublic(), []);
      else if (options.all) callback(null, addresses);
      else callback(null, first.address, first.family);
    });
  };
}
