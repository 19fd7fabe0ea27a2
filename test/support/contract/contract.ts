import { readFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { projectRoot } from "../../../src/platform/config/project-root.js";
import { METHODS, type Method, type Operation } from "../../../src/platform/http/open-api/operation.js";
import { PROBLEM_CODES } from "../../../src/platform/http/open-api/refuses.js";
import { strict } from "./strict-schemas.js";

export interface OpenApi {
  readonly paths: Readonly<Record<string, Readonly<Partial<Record<Method, Operation>>>>>;
  readonly components: {
    readonly schemas: Readonly<Record<string, object>>;
    readonly responses: Readonly<Record<string, DeclaredResponse>>;
    readonly headers: Readonly<Record<string, { readonly required?: boolean }>>;
  };
}

export interface DeclaredResponse {
  readonly $ref?: string;
  readonly headers?: Readonly<Record<string, { readonly $ref: string }>>;
  readonly content?: Readonly<Record<string, { readonly schema?: object; readonly example?: unknown }>>;
}

export interface FoundOperation {
  readonly path: string;
  readonly method: Method;
  readonly operation: Operation;
}

/** The committed contract of the REST API, to hold answers against. */
export class Contract {
  static read(): Contract {
    return new Contract(JSON.parse(readFileSync(join(projectRoot, "contracts", "openapi.json"), "utf8")) as OpenApi);
  }

  readonly operations: readonly FoundOperation[];
  /** In the order in which they are sought, each with the segments of its path. */
  private readonly sought: readonly { readonly segments: readonly string[]; readonly found: FoundOperation }[];
  // Most of what it compiles checks a few answers: making the code short takes longer than it saves.
  private readonly ajv = addFormats.default(
    new Ajv2020({ strict: false, allErrors: true, validateSchema: false, code: { optimize: false } }),
  );
  private readonly compiled = new Map<string, ValidateFunction>();

  constructor(readonly openApi: OpenApi) {
    this.ajv.addSchema(strict(openApi) as object, "openapi");
    this.operations = Object.entries(openApi.paths).flatMap(([path, item]) =>
      METHODS.flatMap((method) => {
        const operation = item[method];
        return operation ? [{ path, method, operation }] : [];
      }),
    );
    const parameters = ({ path }: FoundOperation) => path.split("{").length;
    this.sought = this.operations
      .toSorted((a, b) => parameters(a) - parameters(b) || b.path.length - a.path.length)
      .map((found) => ({ segments: found.path.split("/"), found }));
  }

  /** The operation that an address stands for; a path without parameters comes before one with, and one with an ending before one without. */
  find(method: string, address: string): FoundOperation | undefined {
    const asked = method.toLowerCase() === "head" ? "get" : method.toLowerCase();
    const segments = address.split("?", 1)[0]?.split("/") ?? [];
    return this.sought.find((one) => one.found.method === asked && fits(segments, one.segments))?.found;
  }

  /** Whether an address is declared, for whatever method. */
  hasPath(address: string): boolean {
    return METHODS.some((method) => this.find(method, address) !== undefined);
  }

  /** What every problem of a status is declared to be. */
  problemOf(status: number): DeclaredResponse | undefined {
    const { responses } = this.openApi.components;
    return Object.values(responses).find(({ content }) => {
      const example = content?.["application/problem+json"]?.example as { status?: number } | undefined;
      return example?.status === status;
    });
  }

  /** What a response of an operation is declared to be; undefined for a status that is not declared. */
  responseOf({ operation }: FoundOperation, status: number): DeclaredResponse | undefined {
    const response = operation.responses[String(status)] as DeclaredResponse | undefined;
    const name = response?.$ref?.split("/").at(-1);
    return name ? this.openApi.components.responses[name] : response;
  }

  problemCodesOf({ operation }: FoundOperation): readonly string[] {
    return operation[PROBLEM_CODES] as readonly string[];
  }

  requiredHeadersOf({ headers = {} }: DeclaredResponse): string[] {
    return Object.entries(headers)
      .filter(([, { $ref }]) => this.openApi.components.headers[$ref.split("/").at(-1) ?? ""]?.required)
      .map(([name]) => name.toLowerCase());
  }

  /** What a value lacks or has too much, by the schema at a place of the contract. */
  faultsOf(value: unknown, ...place: readonly string[]): string[] {
    const pointer = place.map((part) => `/${part.replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");
    const $ref = `openapi#${encodeURI(pointer)}`;
    let validate = this.compiled.get($ref);
    if (!validate) {
      validate = this.ajv.compile({ $ref });
      this.compiled.set($ref, validate);
    }
    if (validate(value)) return [];
    return (validate.errors ?? []).map(
      ({ instancePath, message, params }) => `${instancePath} ${message} ${JSON.stringify(params)}`,
    );
  }
}

function fits(asked: readonly string[], known: readonly string[]): boolean {
  return asked.length === known.length && known.every((one, index) => segmentFits(asked[index] ?? "", one));
}

/** A parameter stands for anything, before the ending that follows it. */
function segmentFits(asked: string, known: string): boolean {
  const ending = known.startsWith("{") ? known.slice(known.indexOf("}") + 1) : null;
  return ending === null ? asked === known : asked.endsWith(ending);
}
