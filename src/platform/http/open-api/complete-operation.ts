import { KEY_EFFECT } from "../../idempotency/answer-holds-secret.js";
import { KEY_FORM, KEY_PARAMETER } from "../../idempotency/key-parameter.js";
import { ALSO_TEXT } from "../../views/query-lists.js";
import { isOfContent } from "../answers/entity-tag.js";
import { DEPRECATION, type Deprecation, deprecationReason } from "../headers/deprecation.js";
import { addExamples } from "./examples.js";
import { headersOf } from "./headers.js";
import type { Method, Operation, Parameter, Response } from "./operation.js";
import { problemCodesOf, problemResponses } from "./problem-responses.js";
import { PROBLEM_CODES } from "./refuses.js";

const PATH_PARAMETERS: Readonly<Record<string, string>> = {
  id: "Its id",
  runId: "Id of the run",
  packId: "Id of the pack",
  specimenId: "Id of the specimen",
  handle: "Handle of the tester, whatever its case",
  figure: "Key of the figure, such as `power-10s`",
  key: "Key of the protocol, such as `full-load`",
  version: "Number of the version",
  failureId: "Id of the message that was given up",
  token: "Token of a link that was mailed",
  position: "Its position in the history",
};

/** Adds to an operation what follows from its method, its parameters and who may use it. */
export function completeOperation(method: Method, operation: Operation): void {
  describeSecurity(method, operation);
  if (method === "post") operation.parameters = [...(operation.parameters ?? []), keyParameterOf(operation)];
  for (const parameter of operation.parameters ?? []) {
    // What is left out of an address is not null.
    delete parameter.schema?.nullable;
    if (parameter.in === "query") describeList(parameter);
    if (parameter.in === "path") parameter.description ??= PATH_PARAMETERS[parameter.name] ?? "";
  }
  const deprecation = operation[DEPRECATION] as Deprecation | undefined;
  if (deprecation) describeDeprecation(operation, deprecation);
  const codes = problemCodesOf(method, operation);
  for (const [status, response] of Object.entries(operation.responses)) {
    if ("$ref" in response) continue;
    response.description ||= Number(status) === 204 ? "Done" : (operation.summary ?? "");
    addHeaders(method, status, response);
  }
  const isStream = Object.values(operation.responses).some((response) => "content" in response && isMade(response));
  const whole = operation.responses["200"];
  if (method === "get" && whole && "headers" in whole && !isStream) {
    const headers = Object.fromEntries(Object.entries(whole.headers ?? {}).filter(([name]) => !isOfContent(name)));
    operation.responses["304"] = { description: "Not changed since the tag of `If-None-Match`", headers };
  }
  addExamples(operation);
  operation[PROBLEM_CODES] = codes;
  // What an operation answers a status with in its own words, such as a page, stands.
  for (const [status, response] of Object.entries(problemResponses(codes)))
    operation.responses[status] ??= response as Response;
}

/** A list in the query of a URL: between commas (OpenAPI 3.1, 4.8.12.3), or repeated, which cannot be declared beside it. */
function describeList(parameter: Parameter): void {
  const { schema } = parameter;
  if (![schema?.type].flat().includes("array")) return;
  parameter.style = "form";
  parameter.explode = false;
  parameter.description = `${parameter.description}; several between commas or repeated`;
  if (schema && ALSO_TEXT in parameter) {
    delete parameter[ALSO_TEXT];
    schema.type = ["array", "string", ...(parameter.required ? [] : ["null"])];
  }
}

/** `Idempotency-Key`, with what it does where an answer is kept nowhere. */
function keyParameterOf(operation: Operation): Parameter {
  const effect = operation[KEY_EFFECT];
  delete operation[KEY_EFFECT];
  const said =
    effect === undefined
      ? {}
      : { description: `${KEY_FORM} Here ${effect}: the answer is shown once and kept nowhere.` };
  return { ...KEY_PARAMETER, ...said } as Parameter;
}

function describeDeprecation(operation: Operation, deprecation: Deprecation): void {
  const headers = headersOf("Deprecation", ...(deprecation.sunset ? (["Sunset"] as const) : []));
  operation.deprecated = true;
  operation.description = [operation.description, `**Deprecated.** ${deprecationReason(deprecation)}`]
    .filter((part) => part)
    .join("\n\n");
  for (const response of Object.values(operation.responses)) {
    if (!("$ref" in response)) response.headers = { ...response.headers, ...headers };
  }
}

/** Where no session is needed, one shows more to its owner, and has a limit of its own; credentials are given without. */
function describeSecurity(method: Method, operation: Operation): void {
  if (operation.security) return;
  const isSignIn = method !== "get" && operation.tags?.includes("accounts");
  operation.security = isSignIn ? [] : [{}, { bearer: [] }];
}

/** Whether an answer is made while it is sent, so that nobody can tell beforehand whether it is the one that a client has. */
function isMade({ content = {} }: Response): boolean {
  return "text/event-stream" in content || "application/zip" in content;
}

function addHeaders(method: Method, status: string, response: Response): void {
  const isRead = method === "get" && (status === "200" || status === "206");
  const isStream = isMade(response);
  response.headers = {
    ...(isRead && !isStream ? headersOf("ETag", "CacheControl") : headersOf("CacheControlIfSaid")),
    ...(method === "post" ? headersOf("IdempotencyReplayed") : {}),
    ...headersOf("RateLimit", "RateLimitPolicy"),
    ...response.headers,
  };
}
