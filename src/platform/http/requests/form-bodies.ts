import { RouteConfig } from "@nestjs/platform-fastify";
import { errorCodes, type FastifyInstance } from "fastify";

declare module "fastify" {
  interface FastifyContextConfig {
    takesForms?: boolean;
  }
}

const FORM = "application/x-www-form-urlencoded";
/** More than the forms of this service and the one click of a mail program (RFC 8058) have. */
const MAX_BYTES = 1_024;

/** Takes a body as a form of HTML sends it, urlencoded or multipart. Nothing is read of it: the address says everything. */
export function TakesForms() {
  return RouteConfig({ takesForms: true });
}

/** Everywhere else a form is refused: pages of other origins could send it without asking. */
export function takeForms(server: FastifyInstance): void {
  server.addContentTypeParser(FORM, { parseAs: "buffer", bodyLimit: MAX_BYTES }, (request, _, done) => {
    if (request.routeOptions.config.takesForms) done(null, undefined);
    else done(new errorCodes.FST_ERR_CTP_INVALID_MEDIA_TYPE(FORM));
  });
}
