import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  IdField,
  IntField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { PackView } from "../packs/packs.views.js";

@ObjectType("SealedRound", {
  description: "A time in which testers measure a new pack and nobody sees the others' results",
})
export class SealedRoundView {
  @IdField({ description: "Id, which stays when the round has closed" })
  id: string;

  @ObjectField(() => PackView, { description: "Which pack is measured" })
  pack: PackView;

  @DateTimeField({ description: "Runs uploaded from then on belong to it" })
  opensAt: string;

  @DateTimeField({ description: "Until then no run of the pack is accepted, and none is public" })
  closesAt: string;

  @BooleanField({ description: "Whether it is still open" })
  open: boolean;

  @IntField({ description: "Testers who have uploaded a run of the pack in it", min: 0, max: 1_000_000_000 })
  testers: number;
}

@InputType({ description: "How long a new pack is measured unseen" })
export class SealedRoundInput {
  @DateTimeField({
    description: "When the results become public: in an hour at the earliest, in 180 days at the latest",
  })
  closesAt: string;

  @StringField({ description: "Why, for the audit log", max: 1_000, multiline: true })
  note: string;
}

@ArgsType()
export class SealedRoundsArgs extends PageArgs {
  @BooleanField({
    description: "Only those that are open, or only closed ones; all when left out",
    optional: true,
    fromText: true,
  })
  open?: boolean | null;
}

/** As GraphQL asks; REST has the pack in the path. */
@InputType({ description: "Which pack is measured unseen, and how long" })
export class OpenSealedRoundInput extends SealedRoundInput {
  @IdField({ description: "Which pack, by its id" })
  packId: string;
}

export const SealedRoundList = listOf(SealedRoundView, "SealedRound");
export const SealedRoundConnection = connectionOf(SealedRoundView, "SealedRound");
