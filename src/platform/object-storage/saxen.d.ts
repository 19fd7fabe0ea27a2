/** What is used of the package, which brings no types. */
declare module "saxen" {
  export class Parser {
    on(hook: "openTag", take: (name: string) => void): void;
    on(hook: "closeTag", take: (name: string) => void): void;
    on(hook: "text", take: (text: string, decodeEntities: (text: string) => string) => void): void;
    on(hook: "cdata", take: (text: string) => void): void;
    on(hook: "error", take: (error: Error) => void): void;
    parse(xml: string): void;
  }
}
