import { Injectable } from "@nestjs/common";
import type { Chart } from "../../core/pictures/picture.js";
import { Threads } from "../threads/threads.js";
import type { pngOf, svgOf } from "./picture-thread.js";

const MODULE = "src/platform/pictures/picture-thread.js";

/** Draws charts on threads. */
@Injectable()
export class Pictures {
  constructor(private readonly threads: Threads) {}

  /** A chart as the text of an SVG document, so many px wide. */
  svg(chart: Chart, width: number): Promise<string> {
    return this.threads.run<Parameters<typeof svgOf>[0], string>({ module: MODULE, name: "svgOf" }, { chart, width });
  }

  /** The same as PNG, at a scale of so many pixels to one px. */
  async png(chart: Chart, width: number, scale: number): Promise<Buffer> {
    const call = { module: MODULE, name: "pngOf" };
    const png = await this.threads.run<Parameters<typeof pngOf>[0], Uint8Array>(call, { chart, width, scale });
    return Buffer.from(png);
  }
}
