import { readFileSync } from "node:fs";

/**
 * Ends the program in a sentence when the Node it runs on is older than the one it is made for. Programs load everything
 * else after this, and dynamically: an older Node would fail at the first module that it cannot read.
 */
function requireNode(): void {
  const { engines } = JSON.parse(readFileSync(new URL("../../package.json", import.meta.url), "utf8"));
  const needed = Number(/\d+/.exec(engines.node)?.[0]);
  const present = process.versions.node;
  if (Number.parseInt(present, 10) >= needed) return;
  console.error(
    `Error: Packledger needs Node ${needed} or later, and this is Node ${present}. In its folder, \`npm ci\` installs the right one ` +
      "beside the other packages, and `npm start`, `npm run worker` and `npx packledger` run on it.",
  );
  process.exit(2);
}

requireNode();
