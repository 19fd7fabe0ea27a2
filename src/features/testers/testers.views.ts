import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { RECORD_GAPS } from "../../core/record/judge.js";
import { RECORD_QUANTITIES } from "../../core/record/quantities.js";
import { TESTER_STATUSES } from "../../core/record/status.js";
import {
  BooleanField,
  DateTimeField,
  declareEnum,
  EnumField,
  EnumListField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { PackView } from "../packs/packs.views.js";
import { UndoArgs } from "../register/register.views.js";

const MAX_RUNS = 1_000_000_000;

@ObjectType("TesterProtocol", { description: "What a tester has done under one protocol" })
export class TesterProtocolView {
  @StringField({ description: "Short name of the protocol, the same for all its versions", max: 64 })
  key: string;

  @IntField({ description: "Accepted runs", min: 1, max: MAX_RUNS })
  runs: number;
}

@ObjectType("TesterPack", { description: "A pack that a tester has measured" })
export class TesterPackView {
  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @IntField({ description: "Accepted runs", min: 1, max: MAX_RUNS })
  runs: number;
}

declareEnum(RECORD_QUANTITIES, {
  name: "RecordQuantity",
  description: "What a tester's record is judged in",
  meanings: {
    power: "Power after 10 s at a standard load",
    capacity: "Charge delivered until the cutoff",
    resistance: "Resistance after 10 s, or from two pulses",
  },
});

declareEnum(RECORD_GAPS, {
  name: "RecordGap",
  description: "What a tester's record lacks in one quantity",
  meanings: {
    packs: "Fewer than three packs that reference testers have measured too",
    partners: "Fewer than three different reference testers have measured them",
    bias: "The results lie too far to one side of the reference testers'",
    scatter: "The results scatter too far about their own mean",
  },
});

@ObjectType("QuantityRecord", {
  description: "How a tester's results of one quantity stand beside the reference testers'",
})
export class QuantityRecordView {
  @EnumField(RECORD_QUANTITIES, { description: "What is judged" })
  quantity: string;

  @IntField({ description: "Packs that reference testers have measured too", min: 0, max: MAX_RUNS })
  packs: number;

  @IntField({ description: "Different reference testers who have measured them", min: 0, max: MAX_RUNS })
  partners: number;

  @EnumListField(RECORD_GAPS, { description: "What is missing; none where the record agrees" })
  gaps: string[];
}

@ObjectType("WithdrawnFigure", { description: "A figure of a run that was withdrawn when it had been seen" })
export class WithdrawnFigureView {
  @StringField({ description: "Which figure of the catalogue it is", max: 64 })
  figure: string;

  @NumberField({ description: "What the run found, in unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "Standard uncertainty u of the value, in unit", min: 0 })
  uncertainty: number;
}

@ObjectType("Withdrawal", { description: "A conforming run that its tester withdrew when its figures had been seen" })
export class WithdrawalView {
  @ObjectField(() => PackView, { description: "Which pack it was of" })
  pack: PackView;

  @StringField({ description: "Short name of the protocol", max: 64 })
  protocol: string;

  @StringField({ description: "What had been decided on it by then", max: 20 })
  withdrawnFrom: string;

  @DateTimeField({ description: "When it was uploaded" })
  uploadedAt: string;

  @BooleanField({ description: "Whether a moderator accepted the cause: it no longer stays in the tester's means" })
  excused: boolean;

  @ListField(() => WithdrawnFigureView, { description: "What it had found under its own load" })
  figures: WithdrawnFigureView[];
}

@InputType({ description: "Why a moderator vouches for a tester, or no longer does" })
export class VouchInput {
  @StringField({ description: "For the audit log", max: 1_000, multiline: true })
  note: string;
}

@ArgsType()
export class RevokeVouchArgs extends UndoArgs {
  @StringField({ description: "The name that others see", max: 64 })
  handle: string;
}

@ObjectType("Calibration", {
  description: "How far a tester's results of one quantity lie from the others' on the same packs",
})
export class CalibrationView {
  @EnumField(RECORD_QUANTITIES, { description: "What was measured" })
  quantity: string;

  @NumberField({ description: "Above zero where the tester reads high, %" })
  biasPercent: number;

  @NumberField({ description: "U of the bias, about 95 %, in %", above: 0 })
  expandedUncertaintyPercent: number;

  @IntField({ description: "Packs that others have measured too", min: 1, max: MAX_RUNS })
  packs: number;

  @IntField({ description: "Testers that measured those packs too", min: 1, max: MAX_RUNS })
  others: number;

  @StringField({ description: "The same in a sentence", max: 200 })
  summary: string;
}

@ObjectType("CalibrationList", { description: "A tester's own calibration; it corrects no value" })
export class CalibrationListView {
  @ListField(() => CalibrationView, {
    description: "By quantity, those that anybody else has measured on the same packs",
  })
  items: CalibrationView[];
}

@ObjectType("TesterRecord", { description: "What a tester has added to the public record" })
export class TesterRecordView {
  @IdField({ description: "Stays the same when the handle changes" })
  id: string;

  @StringField({ description: "Name under which others see the tester", max: 32 })
  handle: string;

  @DateTimeField({ description: "When the tester registered" })
  since: string;

  @IntField({ description: "Accepted runs", min: 0, max: MAX_RUNS })
  runs: number;

  @DateTimeField({ description: "When the first of them was uploaded", optional: true })
  firstRunAt: string | null;

  @DateTimeField({ description: "When the last of them was uploaded", optional: true })
  lastRunAt: string | null;

  @IntField({ description: "Packs with accepted runs", min: 0, max: MAX_RUNS })
  packCount: number;

  @ListField(() => TesterPackView, { description: "Those with most accepted runs first, at most 100" })
  packs: TesterPackView[];

  @ListField(() => TesterProtocolView, { description: "Protocols with accepted runs" })
  protocols: TesterProtocolView[];

  @EnumField(TESTER_STATUSES, { description: "What the results count for now" })
  status: string;

  @DateTimeField({ description: "Since when a moderator vouches for the tester", optional: true })
  vouchedAt: string | null;

  @DateTimeField({ description: "Since when the results agree with the reference testers'", optional: true })
  establishedSince: string | null;

  @ListField(() => QuantityRecordView, {
    description: "How the results stand beside the reference testers', by quantity",
  })
  record: QuantityRecordView[];

  @ListField(() => WithdrawalView, {
    description: "Conforming runs that were withdrawn when their figures had been seen, newest first, at most 50",
  })
  withdrawals: WithdrawalView[];
}
