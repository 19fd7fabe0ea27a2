import { applyDecorators, createParamDecorator, type ExecutionContext, Get, HttpCode, Post } from "@nestjs/common";
import { ApiExtraModels, ApiOkResponse, getSchemaPath } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Chart } from "../../../core/pictures/picture.js";
import type { Pictures } from "../../pictures/pictures.js";
import type { PictureOptions } from "../../pictures/pictures.views.js";
import { acceptedType, Gives } from "./accept.guard.js";

/** The forms beside JSON: the ending of an address, its media type, and what an operation's name ends with. */
export const FORMS = {
  csv: { type: "text/csv", sent: "text/csv; charset=utf-8; header=present", suffix: "Csv", name: "as CSV (RFC 4180)" },
  md: {
    type: "text/markdown",
    sent: "text/markdown; charset=utf-8; variant=GFM",
    suffix: "Markdown",
    name: "as Markdown, to paste into a forum post",
  },
  svg: { type: "image/svg+xml", sent: "image/svg+xml; charset=utf-8", suffix: "Svg", name: "drawn as SVG" },
  png: { type: "image/png", sent: "image/png", suffix: "Png", name: "drawn as PNG" },
} as const;

type Form = keyof typeof FORMS;
const ENDINGS = Object.keys(FORMS) as Form[];
const JSON_TYPE = "application/json";
const TYPES = [JSON_TYPE, ...ENDINGS.map((form) => FORMS[form].type)];

/** What a resource is made of in each form; each is asked for only where it is sent. */
export interface FormParts<T> {
  readonly json: () => Promise<T>;
  readonly csv: () => Promise<string>;
  readonly md: (source: Source) => Promise<string>;
  readonly chart: (source: Source) => Promise<Chart>;
}

/** Where and when a picture was made. */
export interface Source {
  /** Scheme and host of the service, before a path. */
  readonly origin: string;
  /** Where the same is read, in whichever form. */
  readonly address: string;
  /** Today in UTC, RFC 3339 full-date. */
  readonly date: string;
}

/** A GET whose answer comes as JSON, and as a table or picture by the ending of the address or by `Accept`. */
export const GetInForms = (path: string, view: new () => object) => inForms(Get, path, view);

/** The same of a POST that only reads. */
export const PostInForms = (path: string, view: new () => object) =>
  applyDecorators(inForms(Post, path, view), HttpCode(200));

function inForms(method: typeof Get, path: string, view: new () => object) {
  const json = { [JSON_TYPE]: { schema: { $ref: getSchemaPath(view) } } };
  const others = ENDINGS.map((form) => [FORMS[form].type, { schema: { type: "string" } }]);
  return applyDecorators(
    method([path, ...ENDINGS.map((form) => `${path}.${form}`)]),
    Gives(...TYPES),
    ApiExtraModels(view),
    ApiOkResponse({ content: { ...json, ...Object.fromEntries(others) } }),
  );
}

/** The form that a request is answered in. */
export class AskedForm {
  readonly form: Form | "json";

  constructor(
    private readonly request: FastifyRequest,
    private readonly reply: FastifyReply,
  ) {
    const [path = ""] = request.url.split("?");
    const ending = ENDINGS.find((form) => path.endsWith(`.${form}`));
    const type = acceptedType(request, ending ? [FORMS[ending].type] : TYPES);
    this.form = ending ?? ENDINGS.find((form) => FORMS[form].type === type) ?? "json";
  }

  /** What the answer depends on beside the state of the record: a picture names its day. */
  get version(): string | null {
    return this.isPicture ? this.source.date : null;
  }

  async answer<T>(
    pictures: Pictures,
    parts: FormParts<T>,
    { width, scale }: PictureOptions,
  ): Promise<T | string | Buffer> {
    if (this.form === "json") return parts.json();
    const body = await this.bodyOf(this.form, pictures, parts, width ?? USUAL_WIDTH, scale ?? 1);
    this.reply.header("content-type", FORMS[this.form].sent);
    return body;
  }

  private get isPicture(): boolean {
    return this.form === "svg" || this.form === "png";
  }

  private get source(): Source {
    const { protocol, host } = this.request;
    const origin = `${protocol}://${host}`;
    const { pathname, searchParams } = new URL(this.request.url, origin);
    for (const option of ["width", "scale"]) searchParams.delete(option);
    const query = searchParams.size > 0 ? `?${searchParams.toString().replaceAll("%2C", ",")}` : "";
    const path = ENDINGS.reduce((rest, form) => rest.replace(new RegExp(`\\.${form}$`), ""), pathname);
    return { origin, address: `${origin}${path}${query}`, date: new Date().toISOString().slice(0, 10) };
  }

  private async bodyOf<T>(form: Form, pictures: Pictures, parts: FormParts<T>, width: number, scale: number) {
    if (form === "csv") return parts.csv();
    if (form === "md") return parts.md(this.source);
    const chart = await parts.chart(this.source);
    return form === "svg" ? pictures.svg(chart, width) : pictures.png(chart, width, scale);
  }
}

/** How wide a picture is made, px, when nobody says. */
const USUAL_WIDTH = 900;

/** For a handler of `GetInForms`. */
export const InForm = createParamDecorator((_: unknown, context: ExecutionContext) => {
  const http = context.switchToHttp();
  return new AskedForm(http.getRequest<FastifyRequest>(), http.getResponse<FastifyReply>());
});
