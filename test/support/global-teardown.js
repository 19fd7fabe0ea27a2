export default async function tearDown() {
  await globalThis.testDatabaseServer.stop();
}
