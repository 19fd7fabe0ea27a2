import { readFileSync } from "node:fs";
import { glob } from "node:fs/promises";
import { join } from "node:path";
import { expect, it } from "@jest/globals";
import ts from "typescript";
import { projectRoot } from "../../src/platform/config/project-root.js";

const SECRET = /(password|secret|token|verifier|challenge|hash|digest|fingerprint|credential|codehash)$/i;
const EQUALITY = new Set([
  ts.SyntaxKind.EqualsEqualsToken,
  ts.SyntaxKind.EqualsEqualsEqualsToken,
  ts.SyntaxKind.ExclamationEqualsToken,
  ts.SyntaxKind.ExclamationEqualsEqualsToken,
]);
const FOLDERS = [
  "src/features/accounts",
  "src/platform/auth",
  "src/platform/idempotency",
  "src/platform/identity-provider",
];

/** Comparisons of a value whose name says that it is secret with another value, but whether it is there at all. */
function comparisonsOfSecrets(path: string, text: string): string[] {
  const file = ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true);
  const found: string[] = [];
  const isSecret = (node: ts.Node) => SECRET.test(node.getText(file));
  const isAbsence = (node: ts.Node) => /^(null|undefined|"")$/.test(node.getText(file));
  const visit = (node: ts.Node): void => {
    if (ts.isBinaryExpression(node) && EQUALITY.has(node.operatorToken.kind)) {
      const sides = [node.left, node.right];
      if (sides.some(isSecret) && !sides.some(isAbsence)) found.push(`${path}: ${node.getText(file)}`);
    }
    if (ts.isCallExpression(node) && ts.isPropertyAccessExpression(node.expression)) {
      const { name, expression } = node.expression;
      const compares = ["equals", "compare", "localeCompare", "startsWith"].includes(name.text);
      if (compares && isSecret(expression)) found.push(`${path}: ${node.getText(file)}`);
    }
    ts.forEachChild(node, visit);
  };
  visit(file);
  return found;
}

// What takes a time that tells how much agreed is found by reading: it cannot be measured dependably through a network.
it("no secret is compared in a time that tells how much of it was right", async () => {
  const found: string[] = [];
  let files = 0;
  for (const folder of FOLDERS) {
    for await (const path of glob(`${folder}/**/*.ts`, {
      cwd: projectRoot,
      exclude: (name) => name.endsWith(".test.ts"),
    })) {
      files++;
      found.push(...comparisonsOfSecrets(path, readFileSync(join(projectRoot, path), "utf8")));
    }
  }
  expect(files).toBeGreaterThan(40);
  // Only the beginning that all keys share, which is no secret.
  expect(found).toEqual(["src/features/accounts/credentials.ts: credential.startsWith(KEY_PREFIX)"]);
});

it("and the search finds what it looks for", () => {
  const text = "if (token === sent.token) a(); if (row.tokenHash.equals(other)) b(); if (passwordHash === null) c();";
  expect(comparisonsOfSecrets("x.ts", text)).toHaveLength(2);
});
