import { Args, Query, Resolver } from "@nestjs/graphql";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { FiguresService } from "./figures.service.js";
import { FigureDefinitionConnection, FigureDefinitionView, FiguresArgs } from "./figures.views.js";

@Resolver(() => FigureDefinitionView)
export class FiguresResolver {
  constructor(private readonly figuresService: FiguresService) {}

  @Query(() => FigureDefinitionConnection, {
    nullable: true,
    description: "Every figure: unit, which way is better, what it is, which protocols give it",
  })
  async figures(@Args() args: FiguresArgs): Promise<Connection<FigureDefinitionView>> {
    return toConnection(await this.figuresService.list(args));
  }
}
