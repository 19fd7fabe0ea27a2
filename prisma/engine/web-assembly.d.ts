/** The part of the WebAssembly interface (W3C) that Node has and its types leave to browsers. */
declare namespace WebAssembly {
  function instantiate(
    binary: Uint8Array,
    imports: Record<string, object>,
  ): Promise<{ readonly instance: { readonly exports: Record<string, unknown> } }>;
}
