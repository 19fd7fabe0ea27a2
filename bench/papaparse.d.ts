/** The part of the library that the bench calls; it brings no types of its own. */
declare module "papaparse" {
  const papaparse: {
    parse(text: string, options: { dynamicTyping: boolean }): { data: number[][] };
  };
  export default papaparse;
}
