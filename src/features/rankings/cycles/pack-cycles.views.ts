import { ObjectType } from "@nestjs/graphql";
import { LOAD_BASES } from "../../../core/model.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../../platform/views/index.js";
import { TesterView } from "../../accounts/accounts.views.js";
import { PackView } from "../../packs/packs.views.js";

@ObjectType("AgedResult", { description: "A figure of one run, with the age of its specimen then" })
export class AgedResultView {
  @IdField({ description: "Id of the run that it was measured in" })
  runId: string;

  @ObjectField(() => TesterView, { description: "Who measured it" })
  tester: TesterView;

  @IdField({ description: "Id of the specimen: results of one show how it ages" })
  specimenId: string;

  @StringField({ description: "The owner's label of the specimen", max: 80 })
  specimenLabel: string;

  @IntField({
    description: "Age of the specimen at the run, full cycles: as stated for the run, else for the specimen",
    min: 0,
    max: 100_000,
  })
  cycles: number;

  @NumberField({ description: "What was measured, in unit" })
  value: number;

  @NumberField({ description: "Standard uncertainty u of one run, in unit; the interval stated is U = 2 u" })
  uncertainty: number;

  @BooleanField({
    description:
      "Whether its run was withdrawn after it had been accepted: it counts unless a moderator accepts the cause",
  })
  withdrawn: boolean;
}

@ObjectType("PackCycles", { description: "A figure of a pack by the age of its specimens" })
export class PackCyclesView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @EnumField(LOAD_BASES, { description: "Under the runs' own loads, or translated to a standard load" })
  basis: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @ListField(() => AgedResultView, {
    description:
      "Every run with this figure that is accepted, or was when it was withdrawn and counts, by specimen and then by age; the specimen with most runs first",
  })
  results: AgedResultView[];
}
