import { applyDecorators, Controller, Get, Header, HttpCode, Param, Post, Res } from "@nestjs/common";
import { ApiNotFoundResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import { Gives } from "../../platform/http/requests/accept.guard.js";
import { TakesForms } from "../../platform/http/requests/form-bodies.js";
import { LINK_PAGES } from "./link-pages.js";
import { MailAddressesService } from "./mail-addresses.service.js";

/** What a page of this controller may do: send its one form back to this service. */
const POLICY = "default-src 'none'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
const HTML = { content: { "text/html": { schema: { type: "string" } } } };

/** Answers with a page, also where the link is good for nothing: people open it. */
const ShowsPage = () =>
  applyDecorators(
    Gives("text/html"),
    Header("content-type", "text/html; charset=utf-8"),
    Header("content-security-policy", POLICY),
    Header("cache-control", "no-store"),
    Header("referrer-policy", "no-referrer"),
    ApiOkResponse(HTML),
    ApiNotFoundResponse({
      ...HTML,
      description: "The link is unknown, was used or is too old: a page that says what to do",
    }),
  );

/**
 * Where the links of mails lead. Programs that look into mails follow links by GET: nothing happens until the form of the page is
 * sent, or a mail program unsubscribes by POST (RFC 8058).
 */
@ApiTags("notices")
@Controller("v1/mail")
export class MailLinksController {
  constructor(private readonly mailAddressesService: MailAddressesService) {}

  @Get("confirm/:token")
  @ShowsPage()
  @ApiOperation({ operationId: "showMailConfirmation", summary: "The page that confirms a mail address" })
  async showConfirmation(
    @Param("token") token: string,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<string> {
    if (isToken(token) && (await this.mailAddressesService.isConfirmable(token))) return LINK_PAGES.confirm;
    reply.status(404);
    return LINK_PAGES.notConfirmed;
  }

  @Post("confirm/:token")
  @TakesForms()
  @HttpCode(200)
  @ShowsPage()
  @ApiOperation({
    operationId: "confirmMailAddress",
    summary: "Confirm a mail address by the token that was mailed to it",
  })
  async confirm(@Param("token") token: string, @Res({ passthrough: true }) reply: FastifyReply): Promise<string> {
    if (isToken(token) && (await this.mailAddressesService.confirm(token))) return LINK_PAGES.confirmed;
    reply.status(404);
    return LINK_PAGES.notConfirmed;
  }

  @Get("unsubscribe/:token")
  @ShowsPage()
  @ApiOperation({ operationId: "showMailUnsubscription", summary: "The page that ends mails to an address" })
  async showUnsubscription(
    @Param("token") token: string,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<string> {
    if (isToken(token) && (await this.mailAddressesService.isMailedTo(token))) return LINK_PAGES.unsubscribe;
    reply.status(404);
    return LINK_PAGES.notSubscribed;
  }

  @Post("unsubscribe/:token")
  @TakesForms()
  @HttpCode(200)
  @ShowsPage()
  @ApiOperation({ operationId: "unsubscribeMail", summary: "End mails to an address, by one click (RFC 8058)" })
  async unsubscribe(@Param("token") token: string, @Res({ passthrough: true }) reply: FastifyReply): Promise<string> {
    if (isToken(token)) {
      await this.mailAddressesService.unsubscribe(token);
      return LINK_PAGES.unsubscribed;
    }
    reply.status(404);
    return LINK_PAGES.notSubscribed;
  }
}

const isToken = (token: string): boolean => /^[\w-]{43}$/.test(token);
