import "./require-node.js";

await import("./run-worker.js");
