import { createRequire } from "node:module";
import { dirname, join } from "node:path";

/**
 * The queue's library keeps what every worker was started with for as long as the process lives, and with it the whole service
 * that started it. Where hundreds of services follow each other in a process, this map has to hold its keys weakly.
 */
function loadWithWeakMap(module) {
  const require = createRequire(import.meta.url);
  const file = join(dirname(require.resolve("graphile-worker")), module);
  const strong = globalThis.Map;
  globalThis.Map = WeakMap;
  try {
    require(file);
  } finally {
    globalThis.Map = strong;
  }
}

loadWithWeakMap("taskIdentifiers.js");
