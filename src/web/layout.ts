import type { Assets } from "./assets.js";
import { type Html, html } from "./html/html.js";
import type { Page } from "./page.js";

/** What everybody may open, in the order of the bar. */
const PLACES: readonly (readonly [address: string, name: string])[] = [
  ["/rankings", "Rankings"],
  ["/packs", "Packs"],
  ["/compare", "Compare"],
  ["/choose", "Which pack"],
  ["/plan", "Plan a test"],
  ["/check", "Check a log"],
  ["/desk", "Your desk"],
];

/** A whole document around a page. */
export function layOut(page: Page, path: string, assets: Assets): string {
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${page.title} \u00b7 Packledger</title>
<link rel="icon" href="${assets.address("icon.svg")}" type="image/svg+xml">
<link rel="stylesheet" href="${assets.address("page.css")}">
${(page.scripts ?? ["page.js"]).map((name) => html`<script type="module" src="${assets.address(name)}"></script>`)}
</head>
<body>
<a class="skip" href="#content">Skip to content</a>
<header class="bar">
<a class="home" href="/"><svg class="mark" viewBox="0 0 24 24" aria-hidden="true"><path d="M3 20V4M3 20h18M3 6c5 0 7 3 10 5s5 3 7 8"/></svg>Packledger</a>
<nav aria-label="Main"><ul>${places(path)}</ul></nav>
</header>
<main id="content" tabindex="-1">${page.body}</main>
<footer class="foot">
<p>Bench tests that many people measured. Values carry their uncertainty: \u00b1 covers about 95 %.</p>
<p><a href="/docs">REST API</a> <a href="/graphql">GraphQL</a> <a href="/openapi.json">Contract</a></p>
<p>Data of testers: <abbr title="Creative Commons Attribution 4.0 International">CC BY 4.0</abbr></p>
</footer>
</body>
</html>
`.text;
}

function places(path: string): readonly Html[] {
  return PLACES.map(([address, name]) => {
    const isHere = path === address || path.startsWith(`${address}/`);
    return html`<li><a href="${address}"${isHere && html` aria-current="page"`}>${name}</a></li>`;
  });
}
