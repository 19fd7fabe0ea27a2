import { chdir } from "node:process";

// A program that does one command of the build after the other, each as a program of its own would that was started with these arguments,
// variables and folder: what they load is loaded once.

/** Restores what the last command had. */
function setVariables(variables) {
  for (const name of Object.keys(process.env)) if (!(name in variables)) delete process.env[name];
  Object.assign(process.env, variables);
}

/** What is written to a stream is kept in place. */
function keep(stream) {
  const kept = { text: "" };
  stream.write = (chunk, encoding, done) => {
    kept.text += typeof chunk === "string" ? chunk : Buffer.from(chunk).toString("utf8");
    const told = typeof encoding === "function" ? encoding : done;
    if (told) queueMicrotask(told);
    return true;
  };
  return kept;
}

const [stdout, stderr] = [keep(process.stdout), keep(process.stderr)];
let done = 0;

process.on("message", async ({ commands, args, variables, folder }) => {
  setVariables(variables);
  chdir(folder);
  process.argv.splice(2, Number.POSITIVE_INFINITY, ...args);
  [stdout.text, stderr.text, process.exitCode] = ["", "", undefined];
  // Under an address of its own it is begun anew, and what it stands on is not.
  await import(`${commands}?${++done}`);
  process.send({ code: process.exitCode ?? 0, stdout: stdout.text, stderr: stderr.text });
});
process.on("disconnect", () => process.exit(0));
