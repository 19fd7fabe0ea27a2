import { randomBytes } from "node:crypto";
import { Answers, type Attack } from "./attack.js";
import { manyAtOnce, type Sent, send } from "./http-client.js";

const AT_ONCE = 32;
/** A proxy of the service's own machine passes it on: RFC 5737's addresses for documentation. */
const from = (address: string) => ({ "x-forwarded-for": address });

/** The same kind of request very often. */
function flood(name: string, times: number, sentBy: (index: number) => Sent): Attack {
  return {
    name: `${times} x ${name}`,
    async attack(base) {
      const answers = new Answers();
      await manyAtOnce(times, AT_ONCE, async (index) => answers.add((await send(base, sentBy(index))).answer));
      return answers.outcome();
    },
  };
}

const token = () => `Bearer ${randomBytes(32).toString("base64url")}`;
const json = { "content-type": "application/json" };
const login = (handle: string, password: string, address: string): Sent => ({
  method: "POST",
  path: "/v1/sessions",
  headers: { ...json, ...from(address) },
  body: JSON.stringify({ handle, password }),
});
const graphql = (query: string, address: string): Sent => ({
  method: "POST",
  path: "/graphql",
  headers: { ...json, ...from(address) },
  body: JSON.stringify({ query }),
});

/** Requests that are each cheap, in numbers; `scale` makes them fewer. */
export function floodAttacks(scale = 1): readonly Attack[] {
  const times = (count: number) => Math.ceil(count * scale);
  return [
    flood("a read that says to come from this machine", times(2_000), () => ({
      path: "/v1/packs?first=1",
      headers: from("127.0.0.1, 203.0.113.1"),
    })),
    flood("a read with every other field of proxies", times(2_000), () => ({
      path: "/v1/packs?first=1",
      headers: { forwarded: "for=127.0.0.1", "x-real-ip": "127.0.0.1", "x-client-ip": "::1", via: "1.1 a" },
    })),
    flood("a token that is none", times(5_000), () => ({
      path: "/v1/packs?first=1",
      headers: { ...from("203.0.113.2"), authorization: token() },
    })),
    flood("an unknown path", times(5_000), (index) => ({ path: `/unknown/${index}`, headers: from("203.0.113.3") })),
    flood("a wrong method", times(2_000), () => ({
      method: "DELETE",
      path: "/v1/packs",
      headers: from("203.0.113.4"),
    })),
    flood("OPTIONS", times(2_000), () => ({ method: "OPTIONS", path: "/v1/packs", headers: from("203.0.113.5") })),
    flood("a document of GraphQL with a mistake", times(2_000), () => graphql("{ me {", "203.0.113.6")),
    flood("the standard introspection of types", times(1_000), () =>
      graphql("{ __schema { types { name fields { name args { name } } } } }", "203.0.113.7"),
    ),
    flood("a read from an address of its own", times(30_000), (index) => ({
      path: "/health/live",
      headers: from(`2001:db8:${(index >> 8).toString(16)}:${(index & 255).toString(16)}::1`),
    })),
    flood("a password at one handle", times(1_000), (index) => login("wanda", `guess number ${index}`, "203.0.113.8")),
    flood("a password at a handle of its own", times(1_000), (index) =>
      login(`handle-${index}`, "Password12345", "203.0.113.9"),
    ),
    flood("a password at one handle from an address of its own", times(1_000), (index) =>
      login("besieged", `guess number ${index}`, `198.18.${index >> 8}.${index & 255}`),
    ),
    flood("an account", times(500), (index) => ({
      method: "POST",
      path: "/v1/accounts",
      headers: { ...json, ...from("203.0.113.10") },
      body: JSON.stringify({ handle: `flood-${index}`, password: "correct horse battery" }),
    })),
  ];
}
