import { ObjectType } from "@nestjs/graphql";
import { DateTimeField, IdField, IntField, ListField, ObjectField, StringField } from "../../platform/views/index.js";
import { PackView } from "../packs/packs.views.js";

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
}
