import { ArgsType, ObjectType } from "@nestjs/graphql";
import type { Grade } from "../../../core/use/model/pack-model.js";
import { GRADES } from "../../../core/use/model/pack-model.js";
import { LIMIT_REASONS, type LimitReason } from "../../../core/use/verdict.js";
import { ScaleField, WidthField } from "../../../platform/pictures/pictures.views.js";
import {
  BooleanField,
  EnumField,
  IdField,
  IdListField,
  ListField,
  NumberField,
  ObjectField,
  QueryListField,
  StringListField,
} from "../../../platform/views/index.js";
import { PackView } from "../../packs/packs.views.js";
import { MissingRunView } from "../pack-models.views.js";
import { SELECTION_SUBJECTS, type SelectionSubject } from "../selections/selections.views.js";

/** Most packs whose energy is compared at once. */
export const MAX_ENERGY_PACKS = 20;

/** Of whose pack, and from which temperature on. */
@ArgsType()
export class EnergyArgs {
  @EnumField(SELECTION_SUBJECTS, {
    description: "Whose pack it is; a specimen that nobody has tested when left out",
    optional: true,
  })
  of?: SelectionSubject | null;

  @NumberField({
    description: "Temperature of the pack at the start, and of the air; 23 when left out",
    unit: "degC",
    min: -40,
    max: 80,
    optional: true,
    fromText: true,
  })
  startC?: number | null;
}

@ArgsType()
export class EnergyOfPackArgs extends EnergyArgs {
  @IdField({ description: "Which pack, by its id" })
  packId: string;
}

export class EnergyQuery extends EnergyArgs {
  @WidthField()
  width?: number | null;

  @ScaleField()
  scale?: number | null;
}

/** Several packs as REST asks: ids in the query of an address. */
export class EnergyComparisonQuery extends EnergyQuery {
  @QueryListField({ description: "Ids of the packs, 2 to 20" })
  packs: string[];
}

/** The same as GraphQL asks. */
@ArgsType()
export class EnergyComparisonArgs extends EnergyArgs {
  @IdListField({ description: "Which packs, 2 to 20", max: MAX_ENERGY_PACKS })
  packs: string[];
}

@ObjectType("EnergyAtPower", { description: "What a pack delivers at one steady power, from full on" })
export class EnergyAtPowerView {
  @NumberField({ description: "Steady power", unit: "W" })
  powerW: number;

  @NumberField({ description: "How long the pack gives it", unit: "s" })
  timeS: number;

  @NumberField({ description: "Standard uncertainty of that time", unit: "s" })
  timeUncertainty: number;

  @NumberField({ description: "Energy that it delivers until then", unit: "Wh" })
  energyWh: number;

  @NumberField({ description: "Standard uncertainty of that energy", unit: "Wh" })
  energyUncertainty: number;

  @BooleanField({ description: "Whether it is at least so much, and nobody knows how much more" })
  isLowerBound: boolean;

  @EnumField(LIMIT_REASONS, { description: "What ends it; null of a lower bound", optional: true })
  ends: LimitReason | null;
}

const CAUTIONS = { description: "Read these before you load a pack so", longest: 400 } as const;
const WHOSE = { description: "Whose pack it is of" } as const;
const START = { description: "Temperature of the pack at the start, and of the air", unit: "degC" } as const;
const CUTOFF = { description: "Voltage of a cell at which the pack counts as empty", unit: "V" } as const;
const HOTTEST = { description: "Hottest that the pack may become", unit: "degC" } as const;
const VERIFIED = {
  description: "Continuous current that ladders have verified; null where none has",
  unit: "A",
  optional: true,
} as const;
const NEEDED = { description: "Runs that would let more be said; none where all is" } as const;

@ObjectType("EnergyAgainstPower", {
  description: "Energy and time of a pack against steady power, as far as its runs tell",
})
export class EnergyAgainstPowerView {
  @StringListField(CAUTIONS)
  cautions: readonly string[];

  @IdField({ description: "The pack, by its id" })
  packId: string;

  @EnumField(SELECTION_SUBJECTS, WHOSE)
  of: SelectionSubject;

  @EnumField(GRADES, { description: "How far the model may be relied on" })
  grade: Grade;

  @NumberField(START)
  startC: number;

  @NumberField(CUTOFF)
  cutoffVoltsPerCell: number;

  @NumberField(HOTTEST)
  temperatureLimitC: number;

  @NumberField(VERIFIED)
  verifiedContinuousA: number | null;

  @ListField(() => EnergyAtPowerView, { description: "Powers in rising order, evenly by their logarithm" })
  points: readonly EnergyAtPowerView[];

  @ListField(() => MissingRunView, NEEDED)
  needed: readonly MissingRunView[];
}

@ObjectType("EnergyOfPack", { description: "Energy and time of one of several packs against steady power" })
export class EnergyOfPackView {
  @ObjectField(() => PackView, {
    description: "The pack that is told of, one of those asked for or the one that it was merged into",
  })
  pack: PackView;

  @EnumField(GRADES, { description: "How far its model may be relied on; null without one", optional: true })
  grade: Grade | null;

  @NumberField(CUTOFF)
  cutoffVoltsPerCell: number;

  @NumberField(VERIFIED)
  verifiedContinuousA: number | null;

  @ListField(() => EnergyAtPowerView, {
    description: "The round powers that its model reaches, in rising order; none where its runs tell nothing",
  })
  points: readonly EnergyAtPowerView[];

  @ListField(() => MissingRunView, NEEDED)
  needed: readonly MissingRunView[];
}

@ObjectType("EnergyComparison", {
  description: "Energy and time of several packs at the same steady powers, as far as the runs of each tell",
})
export class EnergyComparisonView {
  @StringListField(CAUTIONS)
  cautions: readonly string[];

  @EnumField(SELECTION_SUBJECTS, { description: "Whose packs they are" })
  of: SelectionSubject;

  @NumberField({ description: "Temperature of the packs at the start, and of the air", unit: "degC" })
  startC: number;

  @NumberField({ description: "Hottest that they may become", unit: "degC" })
  temperatureLimitC: number;

  @ListField(() => EnergyOfPackView, { description: "The packs, in the order in which they were asked for" })
  items: readonly EnergyOfPackView[];
}
