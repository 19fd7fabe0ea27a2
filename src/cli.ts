#!/usr/bin/env node
import "./require-node.js";

await import("./run-cli.js");
