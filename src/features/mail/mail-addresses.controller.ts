import { Body, Controller, Delete, Get, Header, HttpCode, Put } from "@nestjs/common";
import { ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, SessionOnly } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { MailAddressInput, MailAddressView } from "./mail.views.js";
import { MailAddressesService } from "./mail-addresses.service.js";

@ApiTags("notices")
@Controller("v1/accounts/me/mail-address")
export class MailAddressesController {
  constructor(private readonly mailAddressesService: MailAddressesService) {}

  @Get()
  @SessionOnly()
  @ApiOperation({ summary: "Where your notices are mailed to" })
  @ApiOkResponse({ type: MailAddressView })
  get(@CurrentAccount() caller: Caller): Promise<MailAddressView> {
    return this.mailAddressesService.get(caller);
  }

  @Put()
  @SessionOnly()
  @Header("cache-control", "no-store")
  @Refuses("mail-not-configured")
  @ApiOperation({
    operationId: "setMailAddress",
    summary: "Have your notices mailed to an address, once the link that is mailed to it is used",
  })
  @ApiOkResponse({ type: MailAddressView })
  set(@Body() { address }: MailAddressInput, @CurrentAccount() caller: Caller): Promise<MailAddressView> {
    return this.mailAddressesService.set(address, caller);
  }

  @Delete()
  @SessionOnly()
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "Forget your address: nothing more is mailed" })
  @ApiNoContentResponse()
  delete(@CurrentAccount() caller: Caller): Promise<void> {
    return this.mailAddressesService.remove(caller);
  }
}
