import { gzipSync } from "node:zlib";
import { comma } from "./comma.js";
import type { Layout } from "./layout.js";
import { pipe } from "./pipe.js";
import { quoted } from "./quoted.js";
import { semicolon } from "./semicolon.js";
import { tab } from "./tab.js";

const tabGzip: Layout = {
  extension: "tsv.gz",
  mediaType: "application/gzip",
  write: (log, context) => gzipSync(tab.write(log, context)),
};

/** The log layouts of the demo's testers. */
export const LAYOUTS = { comma, semicolon, tab, tabGzip, pipe, quoted } as const satisfies Record<string, Layout>;

export type LayoutName = keyof typeof LAYOUTS;
