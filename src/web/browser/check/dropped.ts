import { byId } from "../elements.js";
import type { DeclaredRun } from "./run-form.js";

/** A run file is one JSON object that describes a pack, a bench or a protocol; every other file is a log. */
async function runFileIn(file: File): Promise<DeclaredRun | null> {
  if (!/\.json$/i.test(file.name) || file.size > 1 << 20) return null;
  try {
    const read: unknown = JSON.parse(await file.text());
    const isRun =
      typeof read === "object" && read !== null && ["pack", "bench", "protocol"].some((name) => name in read);
    return isRun ? (read as DeclaredRun) : null;
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

/** Takes files that are dropped anywhere on the page, pasted, or chosen by name. */
export function onFiles(took: (logs: readonly File[], runs: readonly DeclaredRun[]) => void): void {
  const take = async (files: FileList | null | undefined) => {
    const [logs, runs]: [File[], DeclaredRun[]] = [[], []];
    for (const file of files ?? []) {
      const run = await runFileIn(file);
      if (run) runs.push(run);
      else logs.push(file);
    }
    if (logs.length > 0 || runs.length > 0) took(logs, runs);
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
