import { Injectable } from "@nestjs/common";
import { asPreparation } from "../../../platform/database/reads/read-limit.js";
import { type RankedVersionRow, revisionOf } from "../../protocols/active-version.service.js";
import { ClassesRepository, type ClassLoadRow, type ClassRow } from "./classes.repository.js";

interface Counted {
  readonly revision: string;
  readonly rows: Promise<readonly unknown[]>;
}

/** Packs and standings by class. Counting goes through all of them, so it is done once for each state of them, for all who ask. */
@Injectable()
export class ClassCounts {
  /** At most one for each figure of a protocol, and the packs. */
  private readonly counted = new Map<string, Counted>();

  constructor(private readonly classesRepository: ClassesRepository) {}

  /**
   * Classes that have packs.
   *
   * @param revision what changes whenever they do, read before
   */
  packs(revision: string): Promise<readonly ClassRow[]> {
    return this.once("packs", revision, () => this.classesRepository.classes());
  }

  /**
   * Standings by one figure under one protocol, which are a figure and a protocol that there are.
   *
   * @param ranked the protocol's revision, read before
   */
  loads(ranked: RankedVersionRow, figure: string): Promise<readonly ClassLoadRow[]> {
    return this.once(`${ranked.key} ${figure}`, revisionOf([ranked]), () =>
      this.classesRepository.loads(ranked.key, figure),
    );
  }

  private once<Row>(what: string, revision: string, count: () => Promise<Row[]>): Promise<readonly Row[]> {
    const known = this.counted.get(what);
    if (known?.revision === revision) return known.rows as Promise<readonly Row[]>;
    const rows = asPreparation(count);
    const counted = { revision, rows };
    this.counted.set(what, counted);
    rows.catch(() => {
      if (this.counted.get(what) === counted) this.counted.delete(what);
    });
    return rows;
  }
}
