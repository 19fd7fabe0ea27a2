import { Ajv2020, type ErrorObject, type ValidateFunction } from "ajv/dist/2020.js";
import { FIGURES } from "../figures/catalogue.js";
import { LADDER_FIGURE_KEYS } from "../ladder/figures.js";
import { MAX_ZERO_SHARE } from "../trace/current-zero.js";
import type { CellVolts, ProtocolDocument, RuleSetting, TranslationReach } from "./document.js";
import { RULES } from "./rules/index.js";
import { PROTOCOL_SCHEMA } from "./schema.js";

/** What is wrong with a protocol document, and where (RFC 6901). */
export interface ProtocolProblem {
  readonly pointer: string;
  readonly message: string;
}

let compiled: ValidateFunction<ProtocolDocument> | undefined;

/** Compiled when a document is first checked: that takes a tenth of what loading the service does, and most processes never check one. */
function schemaCheck(): ValidateFunction<ProtocolDocument> {
  compiled ??= new Ajv2020({
    allErrors: true,
    strict: true,
    strictTypes: false,
    strictRequired: false,
    discriminator: true,
  }).compile<ProtocolDocument>(PROTOCOL_SCHEMA);
  return compiled;
}

/**
 * Everything that keeps a document from being a protocol: first what its schema says, then, when that holds, what no
 * schema can say of how its parts fit together.
 *
 * @returns nothing for a sound protocol
 */
export function protocolProblems(document: unknown): ProtocolProblem[] {
  const matchesSchema = schemaCheck();
  if (!matchesSchema(document)) return (matchesSchema.errors ?? []).map(problemOf);
  return [
    ...cellProblems(document),
    ...loadProblems(document),
    ...ruleProblems(document),
    ...rankingProblems(document),
  ];
}

function problemOf({ keyword, instancePath, params, message = "is not allowed" }: ErrorObject): ProtocolProblem {
  const member = (name: unknown) => `${instancePath}/${String(name).replaceAll("~", "~0").replaceAll("/", "~1")}`;
  switch (keyword) {
    case "required":
      return { pointer: member(params.missingProperty), message: "is missing" };
    case "additionalProperties":
      return { pointer: member(params.additionalProperty), message: "is not a member that belongs here" };
    case "enum":
      return { pointer: instancePath, message: `must be one of: ${params.allowedValues.join(", ")}` };
    case "const":
      return { pointer: instancePath, message: `must be ${JSON.stringify(params.allowedValue)}` };
    case "discriminator":
      return { pointer: member(params.tag), message: `${JSON.stringify(params.tagValue)} is none that exists` };
    default:
      return { pointer: instancePath, message };
  }
}

/** Cell voltages stand in the order that a discharge meets them, and the cutoff is there where runs go on to one. */
function cellProblems({ cells, load }: ProtocolDocument): ProtocolProblem[] {
  return Object.entries(cells).flatMap(([chemistry, cell]) => {
    const pointer = `/cells/${chemistry}`;
    const problems: ProtocolProblem[] = [];
    const falling = FALLING.filter((name) => cell[name] !== null);
    falling.forEach((name, i) => {
      const before = falling[i - 1];
      if (before && (cell[name] as number) > (cell[before] as number))
        problems.push({ pointer: `${pointer}/${name}`, message: `must not be above ${before}` });
    });
    const toCutoff = load.kind !== "two-pulse";
    if (toCutoff && cell.cutoff === null)
      problems.push({
        pointer: `${pointer}/cutoff`,
        message: "must be a voltage: runs under this load go on to a cutoff",
      });
    if (!toCutoff && cell.cutoff !== null)
      problems.push({ pointer: `${pointer}/cutoff`, message: "must be null: two pulses do not go on to a cutoff" });
    return problems;
  });
}

const FALLING: readonly (keyof CellVolts)[] = ["highest", "full", "settled", "nominal", "cutoff", "lowest"];

function loadProblems({ load }: ProtocolDocument): ProtocolProblem[] {
  if (load.kind === "full" && !reachesStandardLoads(load.translation))
    return [
      { pointer: "/load/translation", message: "must reach a standard load from any current, up and down by 13 %" },
    ];
  if (load.kind === "two-pulse" && load.second.rateIt <= load.first.rateIt)
    return [{ pointer: "/load/second/rateIt", message: "must be above that of the first pulse" }];
  return [];
}

/** Standard loads are a factor of 10^(1/10), 1.26, apart; the preferred numbers are rounded. */
const reachesStandardLoads = ({ lowestRatio, highestRatio }: TranslationReach): boolean =>
  lowestRatio <= 1 / MAX_DISTANCE_TO_STANDARD_LOAD && highestRatio >= MAX_DISTANCE_TO_STANDARD_LOAD;
const MAX_DISTANCE_TO_STANDARD_LOAD = 1.14;

function ruleProblems(document: ProtocolDocument): ProtocolProblem[] {
  const problems = document.rules.flatMap((setting, i) => {
    const pointer = `/rules/${i}`;
    const found = settingProblems(setting, document).map(([at, message]) => ({ pointer: `${pointer}${at}`, message }));
    const first = document.rules.findIndex(({ rule }) => rule === setting.rule);
    return first < i ? [...found, { pointer: `${pointer}/rule`, message: `is set already in /rules/${first}` }] : found;
  });
  const hasLevel = document.rules.some(({ rule }) => rule === "standard-load");
  return document.load.kind === "full" && !hasLevel
    ? [...problems, { pointer: "/rules", message: "must set standard-load: the load is translated" }]
    : problems;
}

function settingProblems({ rule, limit }: RuleSetting, { load }: ProtocolDocument): [string, string][] {
  const problems: [string, string][] = [];
  const loads = RULES.get(rule)?.loads;
  if (loads && !loads.includes(load.kind))
    problems.push(["/rule", `says nothing under this load, but under: ${loads.join(", ")}`]);
  for (const [least, most] of RANGES) {
    const [low, high] = [limit[least], limit[most]];
    if (low !== undefined && high !== undefined && low > high)
      problems.push([`/limit/${least}`, `must not be above ${most}`]);
  }
  if (rule === "standard-load" && load.kind === "full") {
    const { lowestRatio, highestRatio } = load.translation;
    if (limit.minimum !== lowestRatio || limit.maximum !== highestRatio)
      problems.push(["/limit", `must be that of the translation: ${lowestRatio} to ${highestRatio}`]);
  }
  if (rule === "current-zero" && limit.maximumPercent !== 100 * MAX_ZERO_SHARE)
    problems.push([
      "/limit/maximumPercent",
      `must be ${100 * MAX_ZERO_SHARE}, up to which an offset is subtracted where the bench states less`,
    ]);
  return problems;
}

const RANGES = [
  ["minimum", "maximum"],
  ["minimumPercent", "maximumPercent"],
] as const;

function rankingProblems({ ranked, figures, load }: ProtocolDocument): ProtocolProblem[] {
  const given = [...figures, ...(load.kind === "set-current" ? LADDER_FIGURE_KEYS : [])];
  return ranked.flatMap(({ figure, basis }, i) => {
    const problems: ProtocolProblem[] = [];
    const pointer = `/ranked/${i}`;
    if (!given.includes(figure)) problems.push({ pointer: `${pointer}/figure`, message: "is not among the figures" });
    if (basis === "translated" && load.kind !== "full")
      problems.push({ pointer: `${pointer}/basis`, message: "must be own: the load is not translated" });
    else if (basis === "translated" && FIGURES.some(({ key, ownLoadOnly }) => key === figure && ownLoadOnly))
      problems.push({ pointer: `${pointer}/basis`, message: "must be own: it is not given under a standard load" });
    const first = ranked.findIndex((one) => one.figure === figure);
    if (first < i) problems.push({ pointer: `${pointer}/figure`, message: `is ranked already in /ranked/${first}` });
    return problems;
  });
}
