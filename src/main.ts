import "./require-node.js";

await import("./run-service.js");
