import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { projectRoot } from "../src/platform/config/project-root.js";
import { ServiceUnderAttack } from "../test/abuse/hostile/service.js";

// Writes each kind of picture of the demo, small and large, to a folder, to be looked at: `npm run pictures`. With `-- --url URL`
// of a running service that has its demo, else of one of its own; `-- --folder FOLDER` in place of `pictures`.

const { values } = parseArgs({ options: { url: { type: "string" }, folder: { type: "string", default: "pictures" } } });
/** Widths, px: of a telephone, and of a page. */
const WIDTHS = { small: 360, large: 900 } as const;

interface Run {
  readonly id: string;
  readonly specimen: { readonly id: string };
  readonly pack: { readonly id: string };
}

async function read(url: string, asked?: object): Promise<Response> {
  const sent = asked && {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(asked),
  };
  const answer = await fetch(url, sent);
  if (!answer.ok) throw new Error(`${url} was answered ${answer.status}: ${await answer.text()}`);
  return answer;
}

/** Addresses without their ending, the query and what is sent there, by the name of the picture's file. */
async function picturesOf(origin: string): Promise<Record<string, readonly [string, string, object?]>> {
  const itemsOf = async <T>(path: string) => ((await (await read(origin + path)).json()) as { items: T[] }).items;
  const runOf = async (query: string) => (await itemsOf<Run>(`/v1/runs?first=1&${query}`))[0] as Run;
  const runs = await itemsOf<Run>("/v1/runs?first=20&protocol=full-load");
  const [pulse, rated, step] = [
    await runOf("protocol=two-pulse"),
    await runOf("protocol=rated-capacity"),
    await runOf("protocol=current-ladder"),
  ];
  const steps = await itemsOf<Run>("/v1/runs?first=100&protocol=current-ladder");
  const specimensOf = (some: readonly Run[]) => [...new Set(some.map(({ specimen }) => specimen.id))].slice(0, 3);
  const ranked = await itemsOf<{ pack: { id: string } }>("/v1/rankings/power-10s?chemistry=lipo&series=4&first=4");
  const packs = ranked.map(({ pack }) => pack.id);
  const find = async (name: string) => (await itemsOf<{ id: string }>(`/v1/packs?search=${name}`))[0]?.id;
  const modelled = [await find("slipway"), await find("apex")];
  const use = JSON.parse(await readFile(join(projectRoot, "docs", "example", "laps.json"), "utf8")) as object;
  const [first, second] = packs;
  const two = `packs=${first},${second}`;
  return {
    comparison: ["/v1/comparisons", two],
    "comparison-by-charge": ["/v1/comparisons", `${two}&show=power&against=charge-share`],
    "comparison-of-many": ["/v1/comparisons", `packs=${packs}`],
    "comparison-of-runs": ["/v1/comparisons", `runs=${runs.slice(0, 12).map(({ id }) => id)}&show=power,temperature`],
    "comparison-of-specimens": ["/v1/comparisons", `specimens=${specimensOf(runs)}`],
    "comparison-of-ladders": ["/v1/comparisons", `ladders=${specimensOf(steps)}`],
    ranking: ["/v1/rankings/power-10s", "chemistry=lipo&series=4"],
    "ranking-with-provisional": ["/v1/rankings/capacity", "standing=all"],
    "ranking-of-nothing": ["/v1/rankings/power-10s", "chemistry=lifepo4&series=14"],
    "testers-of-a-pack": [`/v1/rankings/power-10s/packs/${first}`, ""],
    "cycles-of-a-pack": [`/v1/rankings/capacity/packs/${first}/cycles`, ""],
    "run-full-load": [`/v1/runs/${runs[0]?.id}`, ""],
    "run-two-pulse": [`/v1/runs/${pulse.id}`, ""],
    "run-rated-capacity": [`/v1/runs/${rated.id}`, ""],
    "run-of-a-ladder": [`/v1/runs/${step.id}`, ""],
    "prediction-of-laps": ["/v1/predictions", "", { packIds: modelled, use }],
    "energy-against-power": [`/v1/packs/${modelled[0]}/energy-against-power`, ""],
    "energy-against-power-of-two": ["/v1/energy-against-power", `packs=${modelled}`],
    "validation-of-the-record": ["/v1/validation", ""],
    ladder: [`/v1/ladders/${step.specimen.id}`, ""],
  };
}

async function write(origin: string): Promise<void> {
  await mkdir(values.folder, { recursive: true });
  for (const [name, [path, query, asked]] of Object.entries(await picturesOf(origin))) {
    for (const [size, width] of Object.entries(WIDTHS)) {
      for (const form of ["svg", "png"]) {
        const answer = await read(`${origin}${path}.${form}?${query}${query && "&"}width=${width}`, asked);
        await writeFile(join(values.folder, `${name}-${size}.${form}`), Buffer.from(await answer.arrayBuffer()));
      }
    }
    console.log(`${name} of ${path}${query && "?"}${query}`);
  }
}

const folder = await mkdtemp(join(tmpdir(), "packledger-pictures-"));
const service = new ServiceUnderAttack(folder);
try {
  await write(values.url ?? (await service.start()));
} finally {
  await service.stop();
  await rm(folder, { recursive: true, force: true });
}
