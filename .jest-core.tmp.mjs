import base from "./jest.config.js";
const { globalSetup, globalTeardown, ...rest } = base;
export default rest;
