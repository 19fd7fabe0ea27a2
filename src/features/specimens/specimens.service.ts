import { Injectable } from "@nestjs/common";
import type { Specimen } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import type { SpecimenRow } from "./pack-specimens.repository.js";
import { type SpecimenChanges, type SpecimenOfPack, SpecimensRepository } from "./specimens.repository.js";
import type { SpecimenCorrectionInput, SpecimenInput, SpecimenView } from "./specimens.views.js";

export { type SpecimenOfPack, WEIGH_PACK } from "./specimens.repository.js";

@Injectable()
export class SpecimensService {
  constructor(private readonly specimensRepository: SpecimensRepository) {}

  async register(input: SpecimenInput, caller: Caller): Promise<SpecimenView> {
    const outcome = await this.specimensRepository.create(input, caller.id);
    if ("specimen" in outcome) return specimenView(outcome.specimen);
    if ("packIsUnknown" in outcome) {
      throw new Problem(
        "unknown-reference",
        "Register the pack first, or send the id of one that GET /v1/packs lists.",
        {
          errors: [{ pointer: "/packId", message: "names no pack" }],
        },
      );
    }
    throw labelTaken(outcome.existingId);
  }

  /** Its owner corrects it; the audit log has what was before. */
  async correct(
    id: string,
    { reason = null, ...sent }: SpecimenCorrectionInput,
    caller: Caller,
  ): Promise<SpecimenView> {
    const missing = (["label", "cycles"] as const).filter((member) => sent[member] === null);
    if (missing.length > 0) {
      throw invalidInput(missing.map((member) => ({ pointer: `/${member}`, message: "cannot be left empty" })));
    }
    const changes = sent as SpecimenChanges;
    const outcome = await this.specimensRepository.correct(idOf(id, "specimen"), changes, { caller, reason });
    if (!outcome) throw notFound("specimen");
    if ("specimen" in outcome) return specimenView(outcome.specimen);
    throw labelTaken(outcome.existingId);
  }

  async getOwn(id: string, caller: Caller): Promise<SpecimenView> {
    const specimen = await this.specimensRepository.findOwn(idOf(id, "specimen"), caller.id);
    if (!specimen) throw notFound("specimen");
    return specimenView(specimen);
  }

  /** Any specimen, whoever may see it: that is for the caller to decide. */
  find(id: string): Promise<SpecimenOfPack | null> {
    return this.specimensRepository.find(id);
  }

  /** What a run is of. */
  ofRun(runId: string): Promise<Specimen> {
    return this.specimensRepository.ofRun(runId);
  }

  /** Id of somebody's specimen of a pack with a label, which is registered when there is none. */
  async ownOf(ownerId: string, input: SpecimenInput): Promise<string> {
    const outcome = await this.specimensRepository.create(input, ownerId);
    const id = "specimen" in outcome ? outcome.specimen.id : "existingId" in outcome ? outcome.existingId : null;
    if (id === null) throw notFound("specimen");
    return id;
  }

  /** Some specimens, whoever may see them: that is for the caller to decide. */
  async byIds(ids: readonly string[]): Promise<ReadonlyMap<string, SpecimenView>> {
    const specimens = await this.specimensRepository.findAll(ids);
    return new Map(specimens.map((specimen) => [specimen.id, specimenView(specimen)]));
  }

  async listOwn(args: PageArgs, caller: Caller): Promise<Page<SpecimenView>> {
    const page = await readPage(args, {
      name: "specimens",
      filters: { ownerId: caller.id },
      keys: ["uuid"],
      read: (window) => this.specimensRepository.listOwn(caller.id, window),
      count: () => this.specimensRepository.countOwn(caller.id),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, specimenView);
  }
}

function labelTaken(existingId: string | null): Problem {
  return new Problem("already-exists", "You have a specimen of this pack with this label.", {
    errors: [{ pointer: "/label", message: "is taken" }],
    extensions: { existingId },
  });
}

/** What both APIs show of a specimen. */
export function specimenView({ id, packId, label, cycles, massGrams }: SpecimenRow): SpecimenView {
  return { id, packId, label, cycles, massGrams };
}
