import { ArgsType, ObjectType } from "@nestjs/graphql";
import type { Grade } from "../../../core/use/model/pack-model.js";
import { GRADES } from "../../../core/use/model/pack-model.js";
import { LIMIT_REASONS, type LimitReason } from "../../../core/use/verdict.js";
import { ScaleField, WidthField } from "../../../platform/pictures/pictures.views.js";
import {
  BooleanField,
  EnumField,
  IdField,
  ListField,
  NumberField,
  StringListField,
} from "../../../platform/views/index.js";
import { SELECTION_SUBJECTS, type SelectionSubject } from "../selections/selections.views.js";

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

@ObjectType("EnergyAgainstPower", {
  description: "Energy and time of a pack against steady power, as far as its runs tell",
})
export class EnergyAgainstPowerView {
  @StringListField({ description: "Read these before you load a pack so", longest: 400 })
  cautions: readonly string[];

  @IdField({ description: "The pack, by its id" })
  packId: string;

  @EnumField(SELECTION_SUBJECTS, { description: "Whose pack it is of" })
  of: SelectionSubject;

  @EnumField(GRADES, { description: "How far the model may be relied on" })
  grade: Grade;

  @NumberField({ description: "Temperature of the pack at the start, and of the air", unit: "degC" })
  startC: number;

  @NumberField({ description: "Voltage of a cell at which the pack counts as empty", unit: "V" })
  cutoffVoltsPerCell: number;

  @NumberField({ description: "Hottest that the pack may become", unit: "degC" })
  temperatureLimitC: number;

  @ListField(() => EnergyAtPowerView, { description: "Powers in rising order, evenly by their logarithm" })
  points: readonly EnergyAtPowerView[];
}
