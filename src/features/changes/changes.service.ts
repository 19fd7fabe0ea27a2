import { Injectable } from "@nestjs/common";
import { encodeCursor } from "../../platform/paging/cursor.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import type { RunView } from "../runs/runs.views.js";
import { TestersService } from "../testers/testers.service.js";
import type { TesterRecordView } from "../testers/testers.views.js";
import type { ChangeKind, ChangeState } from "./change-kinds.js";
import { type ChangeRow, ChangesRepository } from "./changes.repository.js";
import type { ChangeView, PackValueView } from "./changes.views.js";

const LIST = { name: "changes", keys: ["number"] } as const;
/** Of what no change names, nothing is read. */
const NONE: ReadonlyMap<string, never> = new Map<string, never>();
const NOTHING = { pack: null, run: null, tester: null, standings: null };

/** Reads those of some runs that are public, by id, as far as an API shows them. */
export type ReadRuns = (ids: readonly string[]) => Promise<ReadonlyMap<string, object>>;

/** What is public now of the subjects of some changes, by id. */
interface Bodies {
  readonly pack: ReadonlyMap<string, PackView>;
  readonly run: ReadonlyMap<string, object>;
  readonly tester: ReadonlyMap<string, TesterRecordView>;
  readonly standings: ReadonlyMap<string, readonly PackValueView[]>;
}

/** Tells what has changed of the public record, in the order in which it did. */
@Injectable()
export class ChangesService {
  constructor(
    private readonly changesRepository: ChangesRepository,
    private readonly packsService: PacksService,
    private readonly testersService: TestersService,
  ) {}

  /** Position of the newest change: with it, everything that is public has changed or has not. */
  newest(): Promise<number> {
    return this.changesRepository.newest();
  }

  /**
   * A page of changes with what there is of their subjects now. The changes are read first: what changes between the two reads
   * is told again by a later change.
   *
   * @param readRuns what is shown of runs
   */
  async list(args: PageArgs, readRuns: ReadRuns): Promise<Page<ChangeView>> {
    const page = await readPage(args, {
      ...LIST,
      read: (window) => this.changesRepository.list(window),
      count: () => this.changesRepository.count(),
      keyOf: ({ position }) => [position],
    });
    const bodies = await this.bodiesOf(page.items, readRuns);
    const last = new Map(page.items.map((row) => [`${row.kind} ${row.subjectId}`, row.position]));
    return mapPage(page, (row) => {
      const isLast = last.get(`${row.kind} ${row.subjectId}`) === row.position;
      const body = bodies[row.kind].get(row.subjectId);
      const state: ChangeState = body === undefined ? "removed" : isLast ? "current" : "superseded";
      const { changedAt, ...rest } = row;
      return {
        ...rest,
        changedAt: changedAt.toISOString(),
        state,
        ...NOTHING,
        ...(state === "current" ? { [row.kind]: body as RunView } : {}),
      };
    });
  }

  /** The cursor of a position, as a page that ends there gives it out. */
  cursorAt(position: number): string {
    return encodeCursor(LIST, [position]);
  }

  private async bodiesOf(rows: readonly ChangeRow[], readRuns: ReadRuns): Promise<Bodies> {
    const idsOf = (kind: ChangeKind) => [...new Set(rows.flatMap((row) => (row.kind === kind ? row.subjectId : [])))];
    const ids = { pack: idsOf("pack"), run: idsOf("run"), tester: idsOf("tester"), standings: idsOf("standings") };
    const [packs, listed, runs, testerIds, values] = await Promise.all([
      ids.pack.length > 0 ? this.packsService.byIds(ids.pack) : NONE,
      ids.pack.length > 0 ? this.changesRepository.listedPacks(ids.pack) : NONE,
      ids.run.length > 0 ? readRuns(ids.run) : NONE,
      ids.tester.length > 0 ? this.changesRepository.publicTesters(ids.tester) : [],
      ids.standings.length > 0 ? this.changesRepository.valuesOf(ids.standings) : [],
    ]);
    return {
      pack: new Map([...packs].filter(([id]) => listed.has(id))),
      run: runs,
      tester: testerIds.length > 0 ? await this.testersService.byIds(testerIds) : NONE,
      standings: new Map(
        Array.from(
          Map.groupBy(values, ({ packId }) => packId),
          ([packId, some]) => {
            return [packId, some.map(({ packId: _, ...value }): PackValueView => value)];
          },
        ),
      ),
    };
  }
}
