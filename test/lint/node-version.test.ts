import { execFile } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { promisify } from "node:util";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

const run = promisify(execFile);
/** Makes a Node say that it is an older one. */
const OLDER = 'data:text/javascript,Object.defineProperty(process.versions,"node",{value:"20.20.2"})';

it.each(["dist/src/main.js", "dist/src/worker.js", "dist/src/cli.js", "bin/packledger.js"])(
  "%s says on an older Node which one it needs and how to come by it, before it does anything else",
  async (program) => {
    const started = run(process.execPath, ["--import", OLDER, join(projectRoot, program)], { cwd: projectRoot });
    await expect(started).rejects.toMatchObject({
      code: 2,
      stdout: "",
      stderr: expect.stringMatching(
        /^Error: Packledger needs Node 24 or later, and this is Node 20\.20\.2\. .*`npm start`.*\n$/,
      ),
    });
  },
);

it("asks for the Node that its tests run on", () => {
  const { engines, devDependencies } = JSON.parse(readFileSync(join(projectRoot, "package.json"), "utf8"));
  expect(engines.node).toBe(`>=${devDependencies.node.split(".")[0]}`);
  expect(process.version).toBe(`v${devDependencies.node}`);
});
