import { Args, Query, Resolver } from "@nestjs/graphql";
import { TestersService } from "./testers.service.js";
import { TesterRecordView } from "./testers.views.js";

@Resolver(() => TesterRecordView)
export class TestersResolver {
  constructor(private readonly testersService: TestersService) {}

  @Query(() => TesterRecordView, { nullable: true, description: "What a tester has added to the public record" })
  tester(@Args("handle", { description: "The name that others see" }) handle: string): Promise<TesterRecordView> {
    return this.testersService.get(handle);
  }
}
