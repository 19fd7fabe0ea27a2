import { Module } from "@nestjs/common";
import { MailLimits } from "../../platform/limits/mail-limits.js";
import { Mailer } from "../../platform/outgoing/mailer.js";
import { NoticesModule } from "../notices/notices.module.js";
import { MailService } from "./mail.service.js";
import { MailAddressesController } from "./mail-addresses.controller.js";
import { MailAddressesRepository } from "./mail-addresses.repository.js";
import { MailAddressesResolver } from "./mail-addresses.resolver.js";
import { MailAddressesService } from "./mail-addresses.service.js";
import { MailLinksController } from "./mail-links.controller.js";

@Module({
  imports: [NoticesModule],
  controllers: [MailAddressesController, MailLinksController],
  providers: [MailAddressesRepository, MailAddressesResolver, MailAddressesService, Mailer, MailLimits, MailService],
})
export class MailModule {}
