import "./typescript.js";
import "./forget-workers.js";
import { createRequire, flushCompileCache } from "node:module";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import { setGlobals } from "./globals.js";
import { timeFile } from "./times.js";

const require = createRequire(import.meta.url);
const { default: runWithCircus } = require("jest-circus/runner");

// Only a worker has a channel to its jest; where jest runs the files itself, there is none to outlive.
if (process.send) new Worker(new URL("end-with-parent.js", import.meta.url)).unref();

/** What jest-circus keeps from one file to the next, since it takes every file to be in a world of its own. */
function forgetLastFile() {
  for (const symbol of Object.getOwnPropertySymbols(globalThis)) {
    if (["JEST_STATE_SYMBOL", "EVENT_HANDLERS"].includes(symbol.description ?? "")) delete globalThis[symbol];
  }
}

const runs = new Map();

/** Its URL the first time, and another each time that it is run again: what is compiled is kept by it, for later test runs. */
function urlOfNextRun(file) {
  const before = runs.get(file) ?? 0;
  runs.set(file, before + 1);
  return before === 0 ? pathToFileURL(file).href : `${pathToFileURL(file)}?${before}`;
}

/**
 * Runs one test file as jest-circus does, but in this process's own world and not in a new one: the service and what it
 * stands on, a thousand modules, are then loaded once for all files that a worker runs, and by Node itself.
 */
export default async function runFile(globalConfig, config, environment, _runtime, path, report) {
  forgetLastFile();
  const ours = globalThis.console;
  const written = timeFile(path);
  globalThis.console = environment.global.console;
  const world = {
    requireInternalModule(file) {
      delete require.cache[file];
      return require(file);
    },
    requireModule: require,
    setGlobalsForRuntime: setGlobals,
    unstable_shouldLoadAsEsm: () => true,
    unstable_importModule: (file) => import(urlOfNextRun(file)),
    enterTestCode: () => undefined,
    leaveTestCode: () => undefined,
  };
  try {
    return await runWithCircus(
      globalConfig,
      { ...config, injectGlobals: false },
      { global: globalThis },
      world,
      path,
      report,
    );
  } finally {
    globalThis.console = ours;
    written();
    // A worker is ended, and does not end: it would keep nothing for the next.
    flushCompileCache();
  }
}
