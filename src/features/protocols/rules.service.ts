import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { RULES } from "../../core/protocol/rules/index.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { ProtocolsService } from "./protocols.service.js";
import type { ProtocolRuleView } from "./rules.views.js";

/** What the rules of a protocol look at, why, and what to change: a protocol sets their limits, the program knows the rest. */
@Injectable()
export class RulesService {
  constructor(private readonly protocolsService: ProtocolsService) {}

  /** The rules of a version of a protocol, or of its newest, in the order of the protocol. */
  async list(key: string, version: number | null, args: PageArgs): Promise<Page<ProtocolRuleView>> {
    const { document, version: found } = await this.protocolsService.get(key, version);
    const rules = (document as ProtocolDocument).rules.map((setting, place) => ({ place, ...ruleView(setting) }));
    const page = await readPage(args, {
      name: "rules",
      filters: { key, version: found },
      keys: ["number"],
      read: async ({ after, before, backward, take }) => {
        const between = rules.slice(after ? Number(after[0]) + 1 : 0, before ? Number(before[0]) : rules.length);
        return (backward ? between.reverse() : between).slice(0, take);
      },
      count: async () => rules.length,
      keyOf: ({ place }) => [place],
    });
    return mapPage(page, ({ place: _, ...view }) => view);
  }
}

function ruleView({ rule: id, severity, limit, unit, onlyWhenLogged = false }: ProtocolDocument["rules"][number]) {
  const rule = RULES.get(id);
  if (!rule) throw new Error(`a published protocol sets the unknown rule ${id}`);
  const { observes, why, advice, limits, missing } = rule;
  const stated = Object.entries(limit).map(([name, value]) => ({ name, value, meaning: limits[name] ?? "" }));
  return {
    id,
    severity,
    onlyWhenLogged,
    unit,
    limits: stated,
    observes,
    why,
    advice,
    alwaysAssessable: missing === null,
  };
}
