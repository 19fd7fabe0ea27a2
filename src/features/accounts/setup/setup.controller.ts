import { Body, Controller, Post } from "@nestjs/common";
import { ApiCreatedResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { AccountView } from "../accounts.views.js";
import { SetupService } from "./setup.service.js";
import { SetupInput } from "./setup.views.js";

@ApiTags("accounts")
@Controller("v1/administrators")
export class SetupController {
  constructor(private readonly setupService: SetupService) {}

  @Post()
  @Refuses("setup-token-required", "already-exists")
  @ApiOperation({
    operationId: "registerFirstAdministrator",
    summary: "Register the first administrator, with the token that the service printed at its start",
  })
  @ApiCreatedResponse({ type: AccountView })
  register(@Body() input: SetupInput, @FromClient() client: Client): Promise<AccountView> {
    return this.setupService.register(input, client);
  }
}
