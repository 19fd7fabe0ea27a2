import { ArgsType } from "@nestjs/graphql";
import { IdListField } from "../../platform/views/index.js";

@ArgsType()
export class NodesArgs {
  @IdListField({ description: "What to find, at most 100" })
  ids: string[];
}
