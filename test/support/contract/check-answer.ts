import { brotliDecompressSync, gunzipSync, zstdDecompressSync } from "node:zlib";
import { FORMS } from "../../../src/platform/http/requests/forms.js";
import { Contract, type DeclaredResponse, type FoundOperation } from "./contract.js";
import { undeclaredHeaders } from "./undeclared-headers.js";

/** An answer as it went out. */
export interface SentAnswer {
  readonly method: string;
  readonly url: string;
  readonly status: number;
  readonly headers: Readonly<Record<string, unknown>>;
  readonly body: Buffer;
}

let contract: Contract | undefined;

/** What an answer of the REST API has that its contract does not declare, or lacks of it. */
export function undeclaredIn(answer: SentAnswer): string[] {
  contract ??= Contract.read();
  const found = contract.find(answer.method, answer.url);
  if (answer.method === "OPTIONS") return [];
  if (!found && contract.hasPath(answer.url)) return faultsOfOtherMethod(contract, answer);
  if (!found) return [];
  const about = `${answer.method} ${found.path} ${answer.status}`;
  return faultsOf(contract, found, answer).map((fault) => `${about}: ${fault}`);
}

/** A declared path answers an undeclared method with 405 and `Allow` (RFC 9110, 15.5.6), or refuses it as any request. */
function faultsOfOtherMethod(known: Contract, answer: SentAnswer): string[] {
  const isWrongMethod = answer.status === 405;
  const response = known.problemOf(isWrongMethod ? 404 : answer.status);
  const about = `${answer.method} ${answer.url}, which is not declared, ${answer.status}`;
  if (!response) return [`${about}: the status is not declared`];
  const { allow, ...others } = answer.headers;
  const headers = isWrongMethod ? others : answer.headers;
  return [
    ...(isWrongMethod && allow === undefined ? ["the field allow is missing"] : []),
    ...faultsOfHeaders(known, response, { ...answer, headers }),
  ].map((fault) => `${about}: ${fault}`);
}

function faultsOf(known: Contract, found: FoundOperation, answer: SentAnswer): string[] {
  const response = known.responseOf(found, answer.status);
  if (!response) return ["the status is not declared"];
  return [
    ...faultsOfHeaders(known, response, answer),
    ...faultsOfBody(known, found, answer, Object.keys(response.content ?? {})),
  ];
}

function faultsOfHeaders(known: Contract, response: DeclaredResponse, { headers }: SentAnswer): string[] {
  const missing = known.requiredHeadersOf(response).filter((name) => headers[name] === undefined);
  const undeclared = undeclaredHeaders(headers, Object.keys(response.headers ?? {}));
  return [
    ...missing.map((name) => `the field ${name} is missing`),
    ...undeclared.map((name) => `the field ${name} is not declared`),
  ];
}

function faultsOfBody(known: Contract, found: FoundOperation, answer: SentAnswer, types: readonly string[]): string[] {
  const { status, headers } = answer;
  if (answer.method === "HEAD") return [];
  if (types.length === 0) return answer.body.length === 0 ? [] : ["a body is not declared"];
  const type = String(headers["content-type"] ?? "").split(";", 1)[0] ?? "";
  if (!types.includes(type))
    return types.includes("*/*") || isOtherForm(known, found, type) ? [] : [`the media type ${type} is not declared`];
  if (!type.endsWith("json")) return [];
  const value: unknown = JSON.parse(plain(answer).toString("utf8"));
  if (type !== "application/problem+json") {
    const { path, method } = found;
    return known.faultsOf(value, "paths", path, method, "responses", String(status), "content", type, "schema");
  }
  const { code, status: said } = value as { code: string; status: number };
  return [
    ...known.faultsOf(value, "components", "schemas", "Problem"),
    ...(said === status ? [] : [`the problem says ${said}`]),
    ...(known.problemCodesOf(found).includes(code) ? [] : [`the code ${code} is not declared`]),
  ];
}

/** By `Accept` an address gives what the same address with an ending is declared to give. */
function isOtherForm(known: Contract, { path, method }: FoundOperation, type: string): boolean {
  return Object.entries(FORMS).some(([ending, form]) => {
    const hasAddress = known.operations.some((one) => one.path === `${path}.${ending}` && one.method === method);
    return form.type === type && hasAddress;
  });
}

function plain({ headers, body }: SentAnswer): Buffer {
  const coding = headers["content-encoding"];
  if (coding === "gzip") return gunzipSync(body);
  if (coding === "br") return brotliDecompressSync(body);
  return coding === "zstd" ? zstdDecompressSync(body) : body;
}
