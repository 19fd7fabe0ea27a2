import { ArgsType, ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { Document, Instant, Text, Whole, YesNo } from "../../platform/views/index.js";

@ObjectType("Protocol", { description: "A published version of how a test is done and judged; it never changes" })
export class ProtocolView {
  @Text({ description: "Key", max: 64 })
  key: string;

  @Whole({ description: "Version", min: 1, max: 1_000_000 })
  version: number;

  @Text({ description: "Title", max: 200 })
  title: string;

  @Text({ description: "What it is for", max: 4_000 })
  summary: string;

  @Instant({ description: "When it was published" })
  publishedAt: string;

  @YesNo({ description: "Rankings count runs under this version; of each protocol one does" })
  counts: boolean;

  @Document({ description: "The whole definition: load, start, sampling, stop, marks, figures, rules and cautions" })
  document: object;
}

@ArgsType()
export class ProtocolArgs {
  @Text({ description: "Key", max: 64 })
  key: string;

  @Whole({ description: "Version; the newest when left out", min: 1, max: 1_000_000, optional: true })
  version?: number | null;
}

export const ProtocolList = listOf(ProtocolView, "Protocol");
export const ProtocolConnection = connectionOf(ProtocolView, "Protocol");
