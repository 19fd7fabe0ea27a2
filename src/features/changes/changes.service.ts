import { Injectable } from "@nestjs/common";
import { encodeCursor, foreignCursor } from "../../platform/paging/cursor.js";
import { mapPage, type Page, type PageArgs, readPage, type Window } from "../../platform/paging/page.js";
import { Problem } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import type { RunView } from "../runs/runs.views.js";
import { TestersService } from "../testers/testers.service.js";
import type { TesterRecordView } from "../testers/testers.views.js";
import type { ChangeKind, ChangeState } from "./change-kinds.js";
import { type ChangeMark, type ChangeRow, ChangesRepository } from "./changes.repository.js";
import type { ChangeView, PackValueView } from "./changes.views.js";

export type { ChangeMark };

/** By position; the time tells a change from one that had the number before the record was restored. */
const LIST = { name: "changes", keys: ["number", "number"] } as const;
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

  /** The newest change: with it, everything that is public has changed or has not. */
  newest(): Promise<ChangeMark> {
    return this.changesRepository.newest();
  }

  /** Id of this record: a backup and its restore keep it. */
  recordId(): Promise<string> {
    return this.changesRepository.recordId();
  }

  /**
   * A page of changes with what there is of their subjects now. The changes are read first: what changes between the two reads
   * is told again by a later change.
   *
   * @param readRuns what is shown of runs
   * @throws Problem record-restored when the change of a cursor is not in the record any more
   */
  async list(args: PageArgs, readRuns: ReadRuns): Promise<Page<ChangeView>> {
    const page = await readPage(args, {
      ...LIST,
      read: (window) => this.read(window),
      count: () => this.changesRepository.count(),
      keyOf: ({ position, changedAt }) => [position, changedAt.getTime()],
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

  /** The cursor of a change, as a page that ends there gives it out. */
  cursorAt({ position, changedAtMs }: ChangeMark): string {
    return encodeCursor(LIST, [position, changedAtMs]);
  }

  private async read(window: Window): Promise<ChangeRow[]> {
    for (const end of ["after", "before"] as const) {
      const key = window[end];
      if (key === null) continue;
      const [position, changedAtMs] = key as [number, number];
      if (!Number.isSafeInteger(position) || !Number.isSafeInteger(changedAtMs)) throw foreignCursor(end);
      if (!(await this.changesRepository.has({ position, changedAtMs }))) throw recordRestored(end);
    }
    return this.changesRepository.list(window);
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

function recordRestored(end: "after" | "before"): Problem {
  const detail =
    "The change of this cursor is not in the record any more: it was restored from an earlier backup. " +
    "Discard what was read before, take the dataset again, and follow its `changes.path`.";
  const errors = [{ pointer: `/${end}`, message: "names a change that the record does not have" }];
  return new Problem("record-restored", detail, { errors });
}
