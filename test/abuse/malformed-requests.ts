import type { InjectOptions } from "fastify";
import type { Random } from "../../seed/simulator/random.js";

const METHODS = ["GET", "POST", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS"] as const;
const TYPES = [
  "application/json",
  "application/json; charset=utf-16",
  "text/plain",
  "multipart/form-data",
  "multipart/form-data; boundary=x",
  "application/x-www-form-urlencoded",
  "application/graphql-response+json",
  "/",
  "",
];
const PIECES = [
  "",
  "../../etc/passwd",
  "..%2f..%2fetc%2fpasswd",
  "%00",
  "\u0000",
  "' OR 1=1 --",
  '"; DROP TABLE run; --',
  "=1+1",
  "\r\nset-cookie: a=b",
  "%0d%0aset-cookie:%20a=b",
  "\ud800",
  "\u202e",
  "9".repeat(400),
  "-1",
  "1e999",
  "NaN",
  "null",
  "[]",
  "{}",
  "W10",
  "__proto__",
  "constructor",
  "power-10s",
  "full-load",
  "%",
  "a".repeat(3_000),
];
const MEMBERS = [
  "handle",
  "password",
  "token",
  "label",
  "scopes",
  "maker",
  "name",
  "series",
  "chemistry",
  "query",
  "variables",
  "operationName",
  "runIds",
  "rules",
  "note",
  "decision",
  "columns",
  "__proto__",
  "sense",
  "load",
];
const DOCUMENTS = [
  "{ me { id } }",
  "{ runs(first: -1) { edges { cursor } } }",
  "mutation { deleteKey(id: 1) }",
  "query A { me { id } } query B { me { id } }",
  "{ __schema { types { name } } }",
  "{ ...F } fragment F on Query { ...F }",
  "subscription { runProgress(id: 1) { stage } }",
  "{",
  "{ run(id: $id) { id } }",
  '{ packs(after: "\u0000") { edges { cursor } } }',
];

/** Requests that no honest client sends, the same ones for the same random numbers. */
export class MalformedRequests {
  constructor(
    private readonly random: Random,
    private readonly paths: readonly string[],
    private readonly credentials: readonly string[],
  ) {}

  next(): InjectOptions {
    const method = this.oneOf(METHODS);
    const isGraphql = this.random.uniform() < 0.15;
    const path = this.oneOf(this.paths).replace(/\{\w+\}/g, () => this.safely(this.oneOf(PIECES)));
    const hasBody = method !== "GET" && method !== "HEAD" && method !== "OPTIONS";
    return {
      method: isGraphql ? "POST" : method,
      url: isGraphql ? "/graphql" : `${path || "/"}${this.query()}`,
      headers: this.headers(isGraphql),
      ...(isGraphql || hasBody ? { payload: this.body(isGraphql) } : {}),
    } as InjectOptions;
  }

  private oneOf<T>(items: readonly T[]): T {
    return items[Math.floor(this.random.uniform() * items.length)] as T;
  }

  /** As it is, where an address can hold it, or percent-encoded. */
  private safely(text: string): string {
    return /^[\x21-\x7e]+$/.test(text) && this.random.uniform() < 0.7 ? text : encodeURIComponent(text.toWellFormed());
  }

  private query(): string {
    if (this.random.uniform() < 0.4) return "";
    const names = ["first", "after", "state", "runs", "packs", "baseline", "chemistry", "points", "channels", "x"];
    const parts = Array.from({ length: 1 + Math.floor(this.random.uniform() * 3) }, () => {
      return `${this.oneOf(names)}=${this.safely(this.oneOf(PIECES))}`;
    });
    return `?${parts.join("&")}`;
  }

  private headers(isGraphql: boolean): Record<string, string> {
    const plain = (text: string) => text.replaceAll(/[^\x20-\x7e]/g, "?");
    return {
      "content-type": isGraphql && this.random.uniform() < 0.8 ? "application/json" : this.oneOf(TYPES),
      ...(this.random.uniform() < 0.7 ? { authorization: this.oneOf(this.credentials) } : {}),
      ...(this.random.uniform() < 0.2 ? { authorization: plain(`Bearer ${this.oneOf(PIECES)}`) } : {}),
      ...(this.random.uniform() < 0.3 ? { "idempotency-key": plain(this.oneOf([...PIECES, '"a"', '"b"', ":="])) } : {}),
      ...(this.random.uniform() < 0.2 ? { accept: plain(this.oneOf([...PIECES, "text/csv", "*/*;q=x"])) } : {}),
      ...(this.random.uniform() < 0.2 ? { "if-none-match": plain(this.oneOf(PIECES)) } : {}),
    };
  }

  private body(isGraphql: boolean): string {
    const chance = this.random.uniform();
    if (isGraphql && chance < 0.6) {
      return JSON.stringify({ query: this.oneOf([...DOCUMENTS, ...PIECES]), variables: this.value(2) });
    }
    if (chance < 0.75) return JSON.stringify(this.object(3));
    if (chance < 0.85) return JSON.stringify(this.value(2));
    const text = JSON.stringify(this.object(2));
    return chance < 0.95 ? text.slice(0, Math.floor(this.random.uniform() * text.length)) : this.oneOf(PIECES);
  }

  private object(depth: number): object {
    const count = Math.floor(this.random.uniform() * 5);
    return Object.fromEntries(Array.from({ length: count }, () => [this.oneOf(MEMBERS), this.value(depth - 1)]));
  }

  private value(depth: number): unknown {
    const chance = this.random.uniform();
    if (depth > 0 && chance < 0.2) return this.object(depth);
    if (depth > 0 && chance < 0.3) return [this.value(depth - 1), this.value(depth - 1)];
    if (chance < 0.7) return this.oneOf(PIECES);
    return this.oneOf([null, true, 0, -1, 1e308, 0.1, 2 ** 53, "accept", "tester"]);
  }
}
