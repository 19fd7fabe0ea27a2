import type { InputError } from "../../core/inputs/input-error.js";
import { type DeclaredPack, PACK_FACTS } from "../../core/inputs/pack.js";
import { readFacts } from "../../core/inputs/read-facts.js";
import { PlanRefused, planOf } from "../../core/plan/plan.js";
import type { Plan } from "../../core/plan/planned-test.js";
import { NEWEST_PROTOCOLS } from "../../core/protocol/index.js";
import { declaredRunIn } from "../logs/log-files.js";
import { ServiceClient } from "../session/service-client.js";
import { storedTokenFor } from "../session/sessions.js";
import { UsageError } from "../usage-error.js";
import { packNamed } from "./pack-named.js";
import { planReportOf } from "./plan-report.js";

export interface PlanOptions {
  readonly run?: string;
  readonly pack?: string;
  readonly specimen?: string;
  readonly protocol?: string;
  readonly load?: number;
  readonly server: string;
  readonly json?: boolean;
}

/** Plans a test: of the pack that a run file describes, on this machine alone; else of one that a service knows. */
export async function plan(options: PlanOptions): Promise<void> {
  const { title, ...planned } = options.run ? await described(options.run, options) : await registered(options);
  console.log(options.json ? JSON.stringify(planned) : planReportOf(title, planned));
}

type Titled = Plan & { readonly title: string };

async function described(runFile: string, { protocol: asked, load }: PlanOptions): Promise<Titled> {
  const run = await declaredRunIn(runFile);
  const errors: InputError[] = [];
  const pack = readFacts<DeclaredPack>(PACK_FACTS, run.pack ?? {}, "/pack", errors);
  if (errors.length > 0) {
    const problems = errors.map(({ pointer = "", message }) => `${pointer.slice(1)} ${message}`);
    throw new UsageError(`${runFile} does not describe the pack: ${problems.join("; ")}`);
  }
  const key = asked ?? run.protocol;
  const protocol = NEWEST_PROTOCOLS.find((one) => one.key === key);
  if (!protocol) {
    const keys = NEWEST_PROTOCOLS.map((one) => one.key).join(", ");
    throw new UsageError(`Name the protocol with --protocol or in the run file. There are: ${keys}.`);
  }
  try {
    const ladder = { steps: [], estimateA: null };
    const planned = planOf(protocol, { pack, ohm: null, loadA: load ?? null, ladder });
    return { title: `${pack.maker} ${pack.name}: ${protocol.title}`, ...planned };
  } catch (error) {
    if (error instanceof PlanRefused) throw new UsageError(`--load ${error.message}.`);
    throw error;
  }
}

async function registered({ pack, specimen, protocol = "full-load", load, server }: PlanOptions): Promise<Titled> {
  if ((pack === undefined) === (specimen === undefined)) {
    throw new UsageError(
      "Name a run file with --run, a pack with --pack, or the specimen of a ladder with --specimen.",
    );
  }
  const client = new ServiceClient(server, await storedTokenFor(server));
  const query = new URLSearchParams({ protocol: specimen ? "current-ladder" : protocol });
  if (specimen) query.set("specimenId", specimen);
  if (load !== undefined) query.set("load", String(load));
  let title = `specimen ${specimen}`;
  if (pack !== undefined) {
    const found = await packNamed(client, pack);
    query.set("packId", found.id);
    title = `${found.maker} ${found.name}`;
  }
  const planned = await client.get<Plan>(`/v1/plans?${query}`);
  return { title: `${title}: ${query.get("protocol")}`, ...planned };
}
