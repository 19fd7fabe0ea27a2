export default {
  testEnvironment: "node",
  globalSetup: "<rootDir>/test/support/global-setup.js",
  globalTeardown: "<rootDir>/test/support/global-teardown.js",
  testTimeout: 120_000,
  // Jest leaves one core to itself; on two that would be every test one after the other.
  maxWorkers: "100%",
  workerIdleMemoryLimit: "1GB",
  roots: ["<rootDir>/prisma", "<rootDir>/src", "<rootDir>/test", "<rootDir>/seed"],
  testMatch: ["**/*.test.ts"],
  extensionsToTreatAsEsm: [".ts"],
  moduleNameMapper: { "^(\\.{1,2}/.*)\\.js$": "$1" },
  transform: {
    "^.+\\.ts$": [
      "@swc/jest",
      {
        swcrc: false,
        sourceMaps: "inline",
        module: { type: "es6" },
        jsc: {
          target: "es2023",
          parser: { syntax: "typescript", decorators: true },
          transform: { legacyDecorator: true, decoratorMetadata: true, useDefineForClassFields: false },
          keepClassNames: true,
        },
      },
    ],
  },
};
