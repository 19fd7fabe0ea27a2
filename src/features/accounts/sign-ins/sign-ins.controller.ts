import { Body, Controller, Get, Header, Post, Query, Req, Res } from "@nestjs/common";
import { ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiQuery, ApiResponse, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { WithoutCors } from "../../../platform/http/headers/cors.js";
import { headersOf } from "../../../platform/http/open-api/headers.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { AnyQuery } from "../../../platform/http/requests/query.guard.js";
import { AnswerHoldsSecret } from "../../../platform/idempotency/answer-holds-secret.js";
import {
  BINDING_COOKIE,
  BINDING_SECONDS,
  bindingOf,
  cookieOf,
} from "../../../platform/identity-provider/browser-binding.js";
import { IdentityProvider } from "../../../platform/identity-provider/identity-provider.js";
import { SessionView } from "../sessions/sessions.views.js";
import { SignInsService } from "./sign-ins.service.js";
import { SignInCodeView, SignInInput, SignInStart } from "./sign-ins.views.js";

@ApiTags("accounts")
@Controller("v1/sign-ins")
export class SignInsController {
  constructor(
    private readonly signInsService: SignInsService,
    private readonly identityProvider: IdentityProvider,
  ) {}

  @Get("start")
  @WithoutCors()
  @Header("cache-control", "no-store")
  @Refuses("not-found", "provider-unreachable")
  @ApiOperation({ operationId: "startSignIn", summary: "Sign in at the identity provider, in a browser" })
  @ApiResponse({ status: 303, headers: headersOf("Location", "SetCookie"), description: "To the identity provider" })
  async start(@Query() input: SignInStart, @Res() reply: FastifyReply): Promise<void> {
    const { address, binding } = await this.signInsService.begin(input);
    reply.setCookie(BINDING_COOKIE, cookieOf(binding), { ...this.cookieRules(), maxAge: BINDING_SECONDS });
    await reply.redirect(address, 303);
  }

  @Get("callback")
  @WithoutCors()
  @AnyQuery()
  @Header("cache-control", "no-store")
  @Refuses("not-found", "sign-in-failed", "provider-unreachable")
  @ApiOperation({ operationId: "finishSignIn", summary: "Where the identity provider sends the browser back to" })
  @ApiQuery({ name: "code", required: false, description: "Of the identity provider" })
  @ApiQuery({ name: "state", required: false, description: "As it was sent to the identity provider" })
  @ApiQuery({ name: "iss", required: false, description: "The identity provider (RFC 9207)" })
  @ApiOkResponse({ headers: headersOf("SetCookie"), type: SignInCodeView })
  @ApiResponse({
    status: 303,
    headers: headersOf("Location", "SetCookie"),
    description: "To the path that the sign-in was begun with; the code in its fragment",
  })
  async callback(@Req() request: FastifyRequest, @Res() reply: FastifyReply): Promise<void> {
    const binding = bindingOf(request.cookies[BINDING_COOKIE]);
    const query = new URL(request.url, "http://this-service.invalid").search;
    const end = await this.signInsService.finish(query, binding);
    reply.clearCookie(BINDING_COOKIE, this.cookieRules());
    if (binding?.returnTo) await reply.redirect(`${binding.returnTo}#code=${end.code}`, 303);
    else await reply.send(end);
  }

  @Post()
  @AnswerHoldsSecret()
  @Header("cache-control", "no-store")
  @Refuses("not-found", "sign-in-code-required", "handle-required", "already-exists", "sign-in-failed")
  @ApiOperation({
    operationId: "openSessionBySignIn",
    summary: "Open a session with the code of a sign-in; the first time, under a handle of your choice",
  })
  @ApiCreatedResponse({ type: SessionView })
  open(@Body() input: SignInInput, @FromClient() client: Client): Promise<SessionView> {
    return this.signInsService.open(input, client);
  }

  /** Sent along when the provider sends the browser back, and to no other address. */
  private cookieRules() {
    const { protocol, pathname } = this.identityProvider.settings().redirectUrl;
    // Browsers know the path with whatever a proxy puts before it.
    const path = pathname.slice(0, pathname.lastIndexOf("/"));
    return { path, httpOnly: true, sameSite: "lax", secure: protocol === "https:" } as const;
  }
}
