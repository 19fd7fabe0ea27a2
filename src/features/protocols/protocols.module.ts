import { Module } from "@nestjs/common";
import { READ_REVISION } from "../../platform/database/reads/read-revision.js";
import { ActiveVersionRepository } from "./active-version.repository.js";
import { ActiveVersionService, revisionOf } from "./active-version.service.js";
import { ProtocolSchemaController } from "./protocol-schema.controller.js";
import { ProtocolsController } from "./protocols.controller.js";
import { ProtocolsRepository } from "./protocols.repository.js";
import { ProtocolsResolver } from "./protocols.resolver.js";
import { ProtocolsService } from "./protocols.service.js";
import { PublicationService } from "./publication.service.js";
import { RulesResolver } from "./rules.resolver.js";
import { RulesService } from "./rules.service.js";

@Module({
  controllers: [ProtocolsController, ProtocolSchemaController],
  providers: [
    ActiveVersionRepository,
    ActiveVersionService,
    {
      provide: READ_REVISION,
      inject: [ActiveVersionService],
      useFactory: (versions: ActiveVersionService) => async () => revisionOf(await versions.revisions()),
    },
    ProtocolsRepository,
    ProtocolsResolver,
    ProtocolsService,
    PublicationService,
    RulesResolver,
    RulesService,
  ],
  exports: [ActiveVersionService, ProtocolsService, PublicationService],
})
export class ProtocolsModule {}
