import type { OpenAPIObject } from "@nestjs/swagger";
import { operationsOf } from "./operation.js";
import { TAGS } from "./tags.js";

/** How the address of another form of an answer ends. */
const FORM = /\.(csv|md|svg|png|atom)$/;

/** The list of all routes for people (Markdown), by tag; other forms of an answer stand beside the address without an ending. */
export function routePage(document: OpenAPIObject): string {
  const routes = operationsOf(document).map(({ path, method, operation }) => ({
    route: `${method.toUpperCase()} ${path}`,
    operation,
  }));
  const known = new Set(routes.map(({ route }) => route));
  const isForm = (route: string) => FORM.test(route) && known.has(route.replace(FORM, ""));
  const endings = (of: string) =>
    routes
      .filter(({ route }) => isForm(route) && route.replace(FORM, "") === of)
      .map(({ route }) => FORM.exec(route)?.[0]);
  const parts = TAGS.map(([tag, about]) => {
    const rows = routes
      .filter(({ route, operation }) => operation.tags?.[0] === tag && !isForm(route))
      .map(({ route, operation: { operationId, summary = "" } }) => {
        const forms = endings(route).map((ending) => `\`${ending}\``);
        const also = forms.length > 0 ? ` (also as ${forms.join(", ")})` : "";
        return `| \`${route}\` | \`${operationId}\` | ${summary}${also} |`;
      });
    return `## ${tag}\n\n${about}.\n\n| route | operation | what it does |\n| --- | --- | --- |\n${rows.join("\n")}`;
  });
  return [
    "# Routes of the REST API",
    "`npm run contracts` writes this page from the contract, [contracts/openapi.json](../contracts/openapi.json), which says what each takes and answers; `/docs` of a running service shows it, to read and try. Other endings of an address: [pictures.md](pictures.md). Beside them: `/graphql` ([graphql.md](graphql.md)), `/openapi.json`, `/problems` ([problems.md](problems.md)), `/metrics` ([operation.md](operation.md#watched)), and the pages for people ([page.md](page.md)).",
    ...parts,
  ]
    .join("\n\n")
    .concat("\n");
}
