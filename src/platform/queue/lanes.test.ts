import { expect, it } from "@jest/globals";
import { closedLanes, WorkerPlaces } from "./lanes.js";

it.each([
  [{ long: 0, background: 0 }, 2, []],
  [{ long: 1, background: 0 }, 2, ["long", "background"]],
  [{ long: 0, background: 1 }, 2, ["long", "background"]],
  [{ long: 1, background: 0 }, 4, ["long"]],
  [{ long: 1, background: 2 }, 4, ["long", "background"]],
  // With one place none can be kept free.
  [{ long: 0, background: 0 }, 1, []],
  [{ long: 0, background: 1 }, 1, ["long", "background"]],
])("with %j at work in %i places these lanes are closed: %j", (doing, places, closed) => {
  expect(closedLanes(doing, places)).toEqual(closed);
});

it("two loops that ask at the same time are not both given a long log", () => {
  const places = new WorkerPlaces(2);
  expect([places.ask(), places.ask()]).toEqual([[], ["long", "background"]]);
  places.answered();
  places.answered();
  expect(places.ask()).toEqual([]);
  places.begin("long");
  places.answered();
  expect(places.ask()).toEqual(["long", "background"]);
  places.answered();
  places.end("long");
  expect(places.ask()).toEqual([]);
});
