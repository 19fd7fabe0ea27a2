import { describe, expect, it } from "@jest/globals";
import { address, html } from "./html.js";

describe("a template", () => {
  it("shows what people typed as text, in content as in attributes", () => {
    const typed = `"><script>alert('1')</script>&amp;`;
    // WHATWG HTML, 13.1.4 (character references), and 13.1.2.3 (double-quoted attribute values).
    const escaped = "&quot;&gt;&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt;&amp;amp;";
    expect(html`<p title="${typed}">${typed}</p>`.text).toBe(`<p title="${escaped}">${escaped}</p>`);
    expect(html`<ul>${[typed].map((one) => html`<li>${one}</li>`)}</ul>`.text).toBe(`<ul><li>${escaped}</li></ul>`);
  });

  it("shows nothing for what is not there, and zero for zero", () => {
    expect(html`a${null}${undefined}${false}${[]}b${0}`.text).toBe("ab0");
  });
});

describe("an address", () => {
  it("writes its query as forms do and leaves out what is empty", () => {
    expect(address("/rankings", { figure: "power-10s", load: 31.5, after: null, search: "" })).toBe(
      "/rankings?figure=power-10s&load=31.5",
    );
    expect(address("/packs", { search: "a&b=c" })).toBe("/packs?search=a%26b%3Dc");
    expect(address("/packs")).toBe("/packs");
  });
});
