import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Query } from "@nestjs/common";
import { ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { UndoArgs } from "../register/register.views.js";
import { TestersService } from "./testers.service.js";
import { CalibrationListView, TesterRecordView, VouchInput } from "./testers.views.js";

@ApiTags("testers")
@Controller("v1")
export class TestersController {
  constructor(private readonly testersService: TestersService) {}

  @Get("testers/:handle")
  @ReadsReplica()
  @ApiOperation({
    operationId: "getTester",
    summary: "What a tester has added to the public record, and what it counts for",
  })
  @ApiOkResponse({ type: TesterRecordView })
  get(@Param("handle") handle: string, @CurrentAccount() caller: Caller | null): Promise<TesterRecordView> {
    return this.testersService.get(handle, caller);
  }

  @Get("accounts/me/calibration")
  @Authenticated()
  @ApiOperation({
    operationId: "getOwnCalibration",
    summary: "How far your results lie from the others' on the same packs",
  })
  @ApiOkResponse({ type: CalibrationListView })
  calibration(@CurrentAccount() caller: Caller): Promise<CalibrationListView> {
    return this.testersService.calibration(caller);
  }

  @Post("testers/:handle/vouch")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required")
  @ApiOperation({
    operationId: "vouchForTester",
    summary: "Vouch for a tester, who is a reference tester from then on",
  })
  @ApiOkResponse({ type: TesterRecordView })
  vouch(
    @Param("handle") handle: string,
    @Body() { note }: VouchInput,
    @CurrentAccount() caller: Caller,
  ): Promise<TesterRecordView> {
    return this.testersService.vouch(handle, note, caller);
  }

  @Delete("testers/:handle/vouch")
  @Roles("moderator")
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("role-required")
  @ApiOperation({ operationId: "revokeVouch", summary: "Take it back that anybody vouches for a tester" })
  @ApiNoContentResponse()
  revoke(
    @Param("handle") handle: string,
    @Query() { reason = null }: UndoArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<void> {
    return this.testersService.revokeVouch(handle, reason, caller);
  }
}
