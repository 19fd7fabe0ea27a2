import { Args, Extensions, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { READS_REPLICA } from "../../../platform/graphql/revised.js";
import { ReadingsService } from "./readings.service.js";
import { ReadingsArgs, ReadingsView } from "./readings.views.js";

@Resolver(() => ReadingsView)
export class ReadingsResolver {
  constructor(private readonly readingsService: ReadingsService) {}

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => ReadingsView, {
    nullable: true,
    description: "A run read at marks and spans, to a cutoff and under a load of your choice: how long it holds",
  })
  readings(
    @Args() { runId, at, span, cutoff = null, load = null }: ReadingsArgs,
    @CurrentAccount() caller: Caller | null,
  ): Promise<ReadingsView> {
    const written = { at: (at ?? []).map(String), span: span ?? [], cutoff, load };
    return this.readingsService.read(runId, written, caller);
  }
}
