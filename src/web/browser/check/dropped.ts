import { byId } from "../elements.js";
import type { DeclaredRun } from "./declared-run.js";

/** What was dropped, pasted or chosen together. */
export interface Dropped {
  readonly logs: readonly File[];
  readonly runs: readonly NamedRun[];
  /** Files that can be neither, each with why. */
  readonly faults: readonly string[];
}

interface NamedRun {
  readonly name: string;
  readonly run: DeclaredRun;
}

const MAX_RUN_BYTES = 1 << 20;
const RUN_NAME = /(^|\.)run\.json$/i;

/** A run file is one JSON object that describes a pack, a bench or a protocol; every other file is a log. */
async function sorted(files: Iterable<File>): Promise<Dropped> {
  const [logs, runs, faults]: [File[], NamedRun[], string[]] = [[], [], []];
  for (const file of files) {
    const { name } = file;
    const read = /\.json$/i.test(name) && file.size <= MAX_RUN_BYTES ? await jsonIn(file) : undefined;
    if (isRun(read)) runs.push({ name, run: read });
    else if (RUN_NAME.test(name))
      faults.push(`${name} is no run file: it must hold one JSON object with protocol, pack or bench.`);
    else logs.push(file);
  }
  return { logs, runs, faults };
}

async function jsonIn(file: File): Promise<unknown> {
  try {
    return JSON.parse(await file.text());
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof DOMException) return undefined;
    throw error;
  }
}

const isRun = (read: unknown): read is DeclaredRun =>
  typeof read === "object" && read !== null && ["pack", "bench", "protocol"].some((name) => name in read);

/** The run file of a log: NAME.run.json of NAME.csv, else the one file that is named for no log; null where there is none, or several. */
export function runFor(logName: string, runs: readonly NamedRun[]): DeclaredRun | null {
  const stem = logName.replace(/\.gz$/i, "").replace(/\.[^.]+$/, "");
  const own = runs.find(({ name }) => name.toLowerCase() === `${stem}.run.json`.toLowerCase());
  if (own) return own.run;
  const [shared, ...more] = runs.filter(({ name }) => !/.\.run\.json$/i.test(name));
  return shared && more.length === 0 ? shared.run : null;
}

/** Takes files that are dropped anywhere on the page, pasted, or chosen by name. */
export function onFiles(took: (dropped: Dropped) => void): void {
  const take = async (files: FileList | null | undefined) => {
    if (files && files.length > 0) took(await sorted(files));
  };
  const chooser = byId<HTMLInputElement>("log-file");
  const zone = byId("drop");
  chooser.addEventListener("change", () => take(chooser.files));
  document.addEventListener("dragover", (event) => {
    event.preventDefault();
    zone.classList.add("over");
  });
  document.addEventListener("dragleave", () => zone.classList.remove("over"));
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    zone.classList.remove("over");
    return take(event.dataTransfer?.files);
  });
  document.addEventListener("paste", (event) => take(event.clipboardData?.files));
  void take(chooser.files);
}
