import { applyDecorators, UseInterceptors } from "@nestjs/common";
import { ApiPermanentRedirectResponse } from "@nestjs/swagger";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { MergedPacksInterceptor } from "./merged-packs.interceptor.js";

/** For a GET below a pack's address: when the pack was merged, it is answered 308. Its module imports `PacksModule`. */
export function FollowsMerges(): MethodDecorator {
  return applyDecorators(
    UseInterceptors(MergedPacksInterceptor),
    ApiPermanentRedirectResponse({
      headers: headersOf("Location"),
      description: "The same of the pack that it was merged into",
    }),
  );
}
