import { createHash } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { FIGURES } from "../../core/figures/catalogue.js";
import { FIGURE_DESCRIPTIONS, type FigureDescription } from "../../core/figures/descriptions.js";
import { LADDER_FIGURES } from "../../core/ladder/figures.js";
import type { Page } from "../../platform/paging/page.js";
import { pageOf } from "../../platform/paging/page-of.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import type { FigureDefinitionView, FiguresArgs } from "./figures.views.js";

/** Every figure with its unit, in the order in which people are shown them. */
const UNITS: readonly (readonly [string, string])[] = [
  ...FIGURES.map(({ key, unit }) => [key, unit] as const),
  ...Object.entries(LADDER_FIGURES),
];

/** A digest of what this program says of figures. */
const DEFINITIONS = createHash("sha256")
  .update(JSON.stringify([UNITS, [...FIGURE_DESCRIPTIONS]]))
  .digest("base64url");

@Injectable()
export class FiguresService {
  constructor(private readonly activeVersionService: ActiveVersionService) {}

  /** What changes whenever the list does: the definitions of this program, and the active versions of protocols. */
  async revision(): Promise<object> {
    const active = await this.activeVersionService.list();
    return [DEFINITIONS, active.map(({ protocol: { key, version } }) => [key, version])];
  }

  async list(args: FiguresArgs): Promise<Page<FigureDefinitionView>> {
    const protocols = (await this.activeVersionService.list()).map(({ protocol }) => protocol);
    const all = UNITS.map(([key, unit], index) => {
      const uses = protocols.flatMap(({ key: protocol, figures, ranked }) => {
        const ranking = ranked.find(({ figure }) => figure === key);
        const isGiven = ranking !== undefined || figures.includes(key);
        return isGiven ? [{ protocol, ranked: ranking !== undefined, basis: ranking?.basis ?? null }] : [];
      });
      const description = FIGURE_DESCRIPTIONS.get(key) as FigureDescription;
      return { index, key, unit, ...description, ranked: uses.some(({ ranked }) => ranked), protocols: uses };
    });
    const wanted = all.filter(({ ranked }) => args.ranked == null || ranked === args.ranked);
    const page = await pageOf(args, {
      name: "figures",
      filters: { ranked: args.ranked ?? null },
      keys: ["number"],
      items: wanted,
      keyOf: ({ index }) => [index],
    });
    return { ...page, items: page.items.map(({ index: _, ...figure }) => figure) };
  }
}
