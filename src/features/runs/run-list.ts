import type { Caller } from "../../platform/auth/account.js";
import type { ConditionalRead } from "../../platform/http/answers/conditional.js";
import { mapPage, toList } from "../../platform/paging/page.js";
import { pickMembers } from "../../platform/views/fields.js";
import { RUN_SUMMARY, type RunListItem, type RunListQuery } from "./run-list.views.js";
import type { RunsService } from "./runs.service.js";
import { partsOfMembers } from "./wanted-parts.js";

/** A list of runs as REST shows it: only what is shown is read, and nothing of it for a client that has it already. */
export function runList(
  runsService: RunsService,
  query: RunListQuery,
  caller: Caller | null,
  conditional: ConditionalRead,
) {
  return conditional.keptUnlessCurrent(
    () => runsService.page(query, caller),
    async (page) => {
      const members = query.fields ?? RUN_SUMMARY;
      const shown = await runsService.shown(page, partsOfMembers(members));
      return toList(mapPage(shown, (run) => pickMembers(run, members) as RunListItem));
    },
  );
}
