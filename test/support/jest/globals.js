// What the tests import as `@jest/globals`: the functions of the test file that runs.
let current = {};

export function setGlobals(globals) {
  current = globals;
}

const ofCurrent = (name) =>
  new Proxy(() => undefined, {
    get: (_, key) => current[name][key],
    apply: (_, self, values) => Reflect.apply(current[name], self, values),
  });

export const afterAll = ofCurrent("afterAll");
export const afterEach = ofCurrent("afterEach");
export const beforeAll = ofCurrent("beforeAll");
export const beforeEach = ofCurrent("beforeEach");
export const describe = ofCurrent("describe");
export const expect = ofCurrent("expect");
export const it = ofCurrent("it");
export const test = ofCurrent("test");
