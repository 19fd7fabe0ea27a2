import { Controller, Get } from "@nestjs/common";
import { ApiExcludeController } from "@nestjs/swagger";
import { CAUTION } from "./caution.js";

/** Where to look. */
@ApiExcludeController()
@Controller()
export class WelcomeController {
  @Get()
  welcome(): object {
    return {
      name: "packledger",
      about: "Bench tests of lithium battery packs, pooled: what packs really deliver",
      links: {
        documentation: "/docs",
        openApi: "/openapi.json",
        graphql: "/graphql",
        packs: "/v1/packs",
        protocols: "/v1/protocols",
        problems: "/problems",
        ready: "/health/ready",
      },
      caution: CAUTION,
    };
  }
}
