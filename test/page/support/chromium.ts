import { existsSync } from "node:fs";
import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import chromium, { inflate } from "@sparticuz/chromium";
import puppeteer, { type Browser } from "puppeteer-core";
import { projectRoot } from "../../../src/platform/config/project-root.js";

/** Unpacked once for an installation. */
const folder = join(projectRoot, "node_modules/.cache/chromium");
const packed = join(fileURLToPath(import.meta.resolve("@sparticuz/chromium")), "../../bin");
const libraries = join(folder, "al2023/lib");
const fontsFile = join(folder, "fonts.conf");

/** The fonts of the package alone: pages look the same on every machine, and some forms end a Chromium that finds none. */
const FONTS = `<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>${join(folder, "fonts")}</dir><cachedir>${join(folder, "fonts-cache")}</cachedir></fontconfig>
`;

/** A browser without a window, from the packages of this project, with the system libraries that it needs. */
export async function startChromium(): Promise<Browser> {
  return puppeteer.launch({
    executablePath: await unpack(),
    headless: "shell",
    env: { ...process.env, LD_LIBRARY_PATH: libraries, FONTCONFIG_FILE: fontsFile },
    // A busy machine may take long; jest ends a test that hangs.
    timeout: 0,
    protocolTimeout: 0,
    // Tests may run as root, for whom the sandbox does not start; the pages are the project's own.
    args: ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--font-render-hinting=none"],
  });
}

/** The packages unpack into the folder for temporary files. */
async function unpack(): Promise<string> {
  await mkdir(folder, { recursive: true });
  await writeFile(fontsFile, FONTS);
  const before = process.env.TMPDIR;
  process.env.TMPDIR = folder;
  try {
    if (!existsSync(libraries)) await inflate(join(packed, "al2023.tar.br"));
    return await chromium.executablePath();
  } finally {
    if (before === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = before;
  }
}
