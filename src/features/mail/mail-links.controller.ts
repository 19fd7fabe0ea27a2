import { Controller, Get, Header, HttpCode, Param, Post } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Gives } from "../../platform/http/accept.guard.js";
import { TakesForms } from "../../platform/http/form-bodies.js";
import { notFound } from "../../platform/problems/problem.js";
import { MailAddressesService } from "./mail-addresses.service.js";

/** What a page of this controller may do: send its one form back to this service. */
const POLICY = "default-src 'none'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
const HTML = { content: { "text/html": { schema: { type: "string" } } } };

/**
 * Where the links of mails lead. Programs that look into mails follow links by GET: nothing happens until the form of the page is
 * sent, or a mail program unsubscribes by POST (RFC 8058).
 */
@ApiTags("notices")
@Controller("v1/mail")
export class MailLinksController {
  constructor(private readonly mailAddressesService: MailAddressesService) {}

  @Get("confirm/:token")
  @Gives("text/html")
  @Header("content-type", "text/html; charset=utf-8")
  @Header("content-security-policy", POLICY)
  @Header("cache-control", "no-store")
  @Header("referrer-policy", "no-referrer")
  @ApiOperation({ operationId: "showMailConfirmation", summary: "The page that confirms a mail address" })
  @ApiOkResponse(HTML)
  showConfirmation(@Param("token") token: string): string {
    requireToken(token);
    return page("Confirm your e-mail address", form("Confirm"));
  }

  @Post("confirm/:token")
  @TakesForms()
  @HttpCode(200)
  @Gives("text/html")
  @Header("content-type", "text/html; charset=utf-8")
  @Header("content-security-policy", POLICY)
  @Header("cache-control", "no-store")
  @ApiOperation({
    operationId: "confirmMailAddress",
    summary: "Confirm a mail address by the token that was mailed to it",
  })
  @ApiOkResponse(HTML)
  async confirm(@Param("token") token: string): Promise<string> {
    requireToken(token);
    await this.mailAddressesService.confirm(token);
    return page("The address is confirmed", "<p>Notices are mailed to it from now on.</p>");
  }

  @Get("unsubscribe/:token")
  @Gives("text/html")
  @Header("content-type", "text/html; charset=utf-8")
  @Header("content-security-policy", POLICY)
  @Header("cache-control", "no-store")
  @Header("referrer-policy", "no-referrer")
  @ApiOperation({ operationId: "showMailUnsubscription", summary: "The page that ends mails to an address" })
  @ApiOkResponse(HTML)
  showUnsubscription(@Param("token") token: string): string {
    requireToken(token);
    return page("No more mail", form("Forget this address"));
  }

  @Post("unsubscribe/:token")
  @TakesForms()
  @HttpCode(200)
  @Gives("text/html")
  @Header("content-type", "text/html; charset=utf-8")
  @Header("content-security-policy", POLICY)
  @Header("cache-control", "no-store")
  @ApiOperation({ operationId: "unsubscribeMail", summary: "End mails to an address, by one click (RFC 8058)" })
  @ApiOkResponse(HTML)
  async unsubscribe(@Param("token") token: string): Promise<string> {
    requireToken(token);
    await this.mailAddressesService.unsubscribe(token);
    return page("No more mail", "<p>The address is forgotten: nothing more is mailed to it.</p>");
  }
}

/** The form is sent to the address of the page, which holds the token. */
const form = (label: string): string => `<form method="post"><button type="submit">${label}</button></form>`;

const page = (title: string, body: string): string =>
  `<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>${title}</title></head><body><h1>${title}</h1>${body}</body></html>\n`;

function requireToken(token: string): void {
  if (!/^[\w-]{43}$/.test(token)) throw notFound("link");
}
