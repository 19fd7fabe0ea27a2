import { ObjectType } from "@nestjs/graphql";
import { LOAD_BASES } from "../../core/model.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  DateTimeField,
  declareEnum,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { PackView } from "../packs/packs.views.js";
import { RunView } from "../runs/runs.views.js";
import { TesterRecordView } from "../testers/testers.views.js";
import { CHANGE_EVENTS, CHANGE_KINDS, CHANGE_STATES } from "./change-kinds.js";

export type { ChangeKind } from "./change-kinds.js";

const MAX_COUNT = 1_000_000_000;

declareEnum(CHANGE_KINDS, {
  name: "ChangeKind",
  description: "What of the record has changed",
  meanings: {
    pack: "A registered pack",
    run: "A run, with its figures and findings",
    tester: "The public record of a tester",
    standings: "The values of one pack in rankings",
  },
});

declareEnum(CHANGE_EVENTS, {
  name: "ChangeEvent",
  description: "What happened",
  meanings: {
    registered: "A pack was registered",
    accepted: "A run was accepted and became public",
    changed: "It is shown otherwise than before: corrected, evaluated anew, or changed with what it is shown with",
    rejected: "An accepted run was rejected",
    reopened: "The acceptance of a run was taken back; it waits for a decision",
    withdrawn: "An accepted run was withdrawn by its tester",
    hidden: "A pack was hidden from lists and rankings",
    shown: "A hidden pack is shown again",
    merged: "A pack was found to be another one",
    unmerged: "The merge of a pack was undone: it is public again with what was registered of it",
    erased: "A tester's account was erased",
  },
});

declareEnum(CHANGE_STATES, {
  name: "ChangeState",
  description: "What there is now of what changed",
  meanings: {
    current: "It is public, and follows as it is now",
    removed: "It is not public any more: a mirror deletes it",
    superseded: "It changed again, and a later change of the same page has it",
  },
});

@ObjectType("PackValue", { description: "A pack's value in one ranking, without its place among others" })
export class PackValueView {
  @StringField({ description: "Short name of the protocol, the same for all its versions", max: 64 })
  protocol: string;

  @IntField({ description: "Version of the protocol that the runs were evaluated under", min: 1, max: 1_000_000 })
  protocolVersion: number;

  @IntField({ description: "Version of the computation that made their figures", min: 1, max: 1_000_000 })
  computationVersion: number;

  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @EnumField(LOAD_BASES, { description: "Under the runs' own loads, or translated to a standard load" })
  basis: string;

  @NumberField({ description: "Consensus of the testers, in unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "Standard uncertainty u of the value, in unit", min: 0 })
  uncertainty: number;

  @NumberField({ description: "Effective degrees of freedom of u; null for infinitely many", above: 0, optional: true })
  degreesOfFreedom: number | null;

  @NumberField({ description: "Consensus under the runs' own loads, in unit", optional: true })
  ownLoadValue: number | null;

  @IntField({ description: "Testers behind it", min: 1, max: MAX_COUNT })
  testers: number;

  @IntField({ description: "Runs behind it", min: 1, max: MAX_COUNT })
  runs: number;

  @BooleanField({ description: "Whether enough testers with a record make the value; provisional if not" })
  established: boolean;

  @BooleanField({ description: "Whether the confirmed value stays, since what the results give has left it" })
  disputed: boolean;

  @NumberField({ description: "What the results give where a confirmed value stays; else null", optional: true })
  computedValue: number | null;

  @IntField({ description: "Testers whose results are shown beside the value", min: 0, max: MAX_COUNT })
  testersBeside: number;

  @IntField({ description: "How many of these wait for a moderator", min: 0, max: MAX_COUNT })
  held: number;
}

@ObjectType("Change", { description: "One change of the public record" })
export class ChangeView {
  @IntField({ description: "Rises from each change to the next, with gaps", min: 1, max: Number.MAX_SAFE_INTEGER })
  position: number;

  @DateTimeField({ description: "When what was decided took effect; never before that of the change ahead" })
  changedAt: string;

  @EnumField(CHANGE_KINDS, { description: "What has changed" })
  kind: string;

  @IdField({ description: "Id of the pack, run or tester; of standings, that of their pack" })
  subjectId: string;

  @EnumField(CHANGE_EVENTS, { description: "What happened to it" })
  event: string;

  @EnumField(CHANGE_STATES, { description: "Whether it follows, is gone, or follows later in the page" })
  state: string;

  @ObjectField(() => PackView, { description: "The pack as it is now, of a current one", optional: true })
  pack: PackView | null;

  @ObjectField(() => RunView, { description: "The run as it is now, of a current one", optional: true })
  run: RunView | null;

  @ObjectField(() => TesterRecordView, { description: "The record as it is now, of a current one", optional: true })
  tester: TesterRecordView | null;

  @ListField(() => PackValueView, {
    description: "All values of the pack as they are now, of current standings",
    optional: true,
  })
  standings: PackValueView[] | null;
}

export const ChangeList = listOf(ChangeView, "Change");
export const ChangeConnection = connectionOf(ChangeView, "Change");
