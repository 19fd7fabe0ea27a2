import { Controller, Get, Param } from "@nestjs/common";
import { ApiExcludeController } from "@nestjs/swagger";
import { isProblemCode, PROBLEMS } from "./catalogue.js";
import { notFound } from "./problem.js";

/** What the `type` of a problem points at. */
@ApiExcludeController()
@Controller("problems")
export class ProblemsController {
  @Get()
  list(): { readonly items: readonly object[] } {
    return { items: Object.entries(PROBLEMS).map(([code, { status, title }]) => ({ code, status, title })) };
  }

  @Get(":code")
  show(@Param("code") code: string): object {
    if (!isProblemCode(code)) throw notFound("problem");
    return { code, ...PROBLEMS[code] };
  }
}
