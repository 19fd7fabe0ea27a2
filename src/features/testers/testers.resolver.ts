import { Args, Extensions, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { READS_REPLICA } from "../../platform/graphql/revised.js";
import { TestersService } from "./testers.service.js";
import { CalibrationListView, RevokeVouchArgs, TesterRecordView, VouchInput } from "./testers.views.js";

@Resolver(() => TesterRecordView)
export class TestersResolver {
  constructor(private readonly testersService: TestersService) {}

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => TesterRecordView, {
    nullable: true,
    description: "What a tester has added to the public record, and what it counts for",
  })
  tester(
    @Args("handle", { description: "The name that others see" }) handle: string,
    @CurrentAccount() caller: Caller | null,
  ): Promise<TesterRecordView> {
    return this.testersService.get(handle, caller);
  }

  @Query(() => CalibrationListView, {
    nullable: true,
    description: "How far your results lie from the others' on the same packs",
  })
  @Authenticated()
  calibration(@CurrentAccount() caller: Caller): Promise<CalibrationListView> {
    return this.testersService.calibration(caller);
  }

  @Mutation(() => TesterRecordView, {
    nullable: true,
    description: "Vouch for a tester, who is a reference tester from then on",
  })
  @Roles("moderator")
  vouchForTester(
    @Args("handle", { description: "The name that others see" }) handle: string,
    @Args("input", { description: "Reason that the audit log keeps" }) { note }: VouchInput,
    @CurrentAccount() caller: Caller,
  ): Promise<TesterRecordView> {
    return this.testersService.vouch(handle, note, caller);
  }

  @Mutation(() => String, { nullable: true, description: "Take it back that anybody vouches for a tester; the handle" })
  @Roles("moderator")
  async revokeVouch(
    @Args() { handle, reason = null }: RevokeVouchArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.testersService.revokeVouch(handle, reason, caller);
    return handle;
  }
}
