import { Injectable } from "@nestjs/common";
import type { ColumnMap as ColumnMapOfChannels, SavedColumnMap } from "../../core/model.js";
import type { ColumnMap } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { savedMapOf } from "./column-map.js";
import { ColumnMapsRepository } from "./column-maps.repository.js";
import type { ColumnMapInput, ColumnMapView } from "./column-maps.views.js";

export { columnMapOf } from "./column-map.js";

/** All of a tester's maps are held against each of their logs. */
const MAX_MAPS = 100;

@Injectable()
export class ColumnMapsService {
  constructor(private readonly columnMapsRepository: ColumnMapsRepository) {}

  async save(input: ColumnMapInput, caller: Caller): Promise<ColumnMapView> {
    const map = savedMapOf(input);
    if ((await this.columnMapsRepository.count(caller.id)) >= MAX_MAPS) {
      throw new Problem("limit-reached", `You may keep ${MAX_MAPS} column maps. Remove one that you need no more.`);
    }
    const outcome = await this.columnMapsRepository.create(map, caller.id);
    if ("created" in outcome) return view(outcome.created);
    throw new Problem("already-exists", "You have a column map for this header row. Remove it first.", {
      errors: [{ pointer: "/header", message: "has a map" }],
      extensions: { existingId: outcome.existingId },
    });
  }

  async getOwn(id: string, caller: Caller): Promise<ColumnMapView> {
    const map = await this.columnMapsRepository.findOwn(idOf(id, "column map"), caller.id);
    if (!map) throw notFound("column map");
    return view(map);
  }

  async listOwn(args: PageArgs, caller: Caller): Promise<Page<ColumnMapView>> {
    const page = await readPage(args, {
      name: "column maps",
      filters: { ownerId: caller.id },
      keys: ["uuid"],
      read: (window) => this.columnMapsRepository.listOwn(caller.id, window),
      count: () => this.columnMapsRepository.countOwn(caller.id),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, view);
  }

  /** Runs that it was applied to keep what it said. */
  async remove(id: string, caller: Caller): Promise<void> {
    if (!(await this.columnMapsRepository.removeOwn(idOf(id, "column map"), caller.id))) throw notFound("column map");
  }

  /** What an evaluation holds against the header row of an account's log. */
  async savedBy(accountId: string): Promise<SavedColumnMap[]> {
    return (
      await this.columnMapsRepository.listOwn(accountId, { after: null, before: null, backward: false, take: MAX_MAPS })
    ).map(({ label, header, columns }) => ({
      label,
      header,
      columns: columns as ColumnMapOfChannels,
    }));
  }
}

function view({ id, label, header, columns }: ColumnMap): ColumnMapView {
  return { id, label, header, columns: columns as object };
}
