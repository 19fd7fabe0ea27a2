import { isIP } from "node:net";
import { isLoopback } from "../../platform/client/ip-address.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { mayBeAsked } from "../../platform/outgoing/public-address.js";

/**
 * An address that may be asked, as far as it can be told without looking its name up, which is done when something is sent.
 *
 * @param loopbackToo whether this machine itself may be asked, also without TLS
 * @throws Problem `invalid-input`
 */
export function webhookUrl(text: string, loopbackToo: boolean): string {
  const refuse = (message: string) => invalidInput([{ pointer: "/url", message }]);
  const url = URL.parse(text);
  if (!url) throw refuse("must be a URL");
  const host = url.hostname.replace(/^\[|\]$|\.$/g, "");
  const isHere = loopbackToo && (host === "localhost" || isLoopback(host));
  if (url.protocol !== "https:" && !(isHere && url.protocol === "http:")) throw refuse("must begin with https://");
  if (url.username !== "" || url.password !== "") throw refuse("must not contain a user name or a password");
  if (url.hash !== "") throw refuse("must not contain a fragment");
  const isName = isIP(host) === 0;
  const isPublicName = host.includes(".") && !/\.(?:localhost|local|internal|home\.arpa)$/.test(host);
  if (!isHere && !(isName ? isPublicName : mayBeAsked(host, loopbackToo))) throw refuse("must name a public host");
  return url.href;
}
