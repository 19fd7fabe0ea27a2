#!/usr/bin/env node
// Kept apart from the build, so that it stays executable whenever that is made anew.
import "../dist/src/cli.js";
