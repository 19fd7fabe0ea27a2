import { Controller, Get, Param } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { TestersService } from "./testers.service.js";
import { TesterRecordView } from "./testers.views.js";

@ApiTags("testers")
@Controller("v1/testers")
export class TestersController {
  constructor(private readonly testersService: TestersService) {}

  @Get(":handle")
  @ApiOperation({ summary: "What a tester has added to the public record" })
  @ApiOkResponse({ type: TesterRecordView })
  get(@Param("handle") handle: string): Promise<TesterRecordView> {
    return this.testersService.get(handle);
  }
}
