import { ArgsType, ObjectType } from "@nestjs/graphql";
import { OmitType } from "@nestjs/swagger";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { BooleanField, DateTimeField, IntField, JsonField, StringField } from "../../platform/views/index.js";

@ObjectType("Protocol", { description: "A published version of how a test is done and judged; it never changes" })
export class ProtocolView {
  @StringField({ description: "Short name of the protocol in addresses and queries", max: 64 })
  key: string;

  @IntField({ description: "Counted from 1; a published one never changes", min: 1, max: 1_000_000 })
  version: number;

  @StringField({ description: "What it is called where it is shown to people", max: 200 })
  title: string;

  @StringField({ description: "What a test under this protocol shows, in a sentence", max: 4_000 })
  summary: string;

  @DateTimeField({ description: "When it was published" })
  publishedAt: string;

  @BooleanField({ description: "The active version: rankings use runs evaluated under it" })
  active: boolean;

  @IntField({
    description: "The version that is active now; null while none of its versions is",
    min: 1,
    max: 1_000_000,
    optional: true,
  })
  activeVersion?: number | null;

  @JsonField({ description: "The whole definition: load, start, sampling, stop, marks, figures, rules and cautions" })
  document: object;
}

/** A version for good: which one is active changes, and is told by the protocol itself. */
export class ProtocolVersionView extends OmitType(ProtocolView, ["active", "activeVersion"]) {}

@ArgsType()
export class ProtocolArgs {
  @StringField({ description: "Short name of the protocol in addresses and queries", max: 64 })
  key: string;

  @IntField({ description: "Version; the newest when left out", min: 1, max: 1_000_000, optional: true })
  version?: number | null;
}

export const ProtocolList = listOf(ProtocolView, "Protocol");
export const ProtocolConnection = connectionOf(ProtocolView, "Protocol");
