// The boat's voice: stale within five seconds of silence, back when she speaks again; a device that is not hers sees
// nothing.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Boat, closeBrowser, device, until } from "./boat.mjs";

let boat;
before(async () => (boat = await Boat.serve()));
after(async () => {
  await closeBrowser();
  await boat.stop();
});

test("a boat that dies is STALE over everything within five seconds and a half, and not when she is back", async () => {
  const { page, go, context } = await device(boat);
  await go("watch");
  await page.getByRole("heading", { name: "No watch is kept." }).waitFor();
  await page.waitForTimeout(1_000);
  const begun = Date.now();
  await boat.kill();
  const veil = page.getByRole("alert").filter({ hasText: "STALE" });
  await veil.waitFor({ timeout: 8_000 });
  // The last word may have come up to two seconds before the end.
  assert.ok(Date.now() - begun < 5_500, `${Date.now() - begun} ms`);
  await boat.start();
  await veil.waitFor({ state: "detached", timeout: 10_000 });
  await context.close();
});

test("what one device changes another shows", async () => {
  const one = await device(boat);
  await one.go("stays");
  await one.page.locator("main h1").waitFor();
  const { stay } = await boat.keepExamples();
  await one.page.locator(`a[href="#/stays/${stay}"]`).waitFor({ timeout: 5_000 });
  assert.deepEqual(one.faults, []);
  await one.context.close();
});

test("the watch is taken on a device: it sounds once, and the audio graph runs", async () => {
  const { page, go, context, faults } = await device(boat);
  const { stays } = await boat.ask("GET", "/stays");
  await boat.ask("POST", "/watch", { stay: stays[0].id });
  await go("watch");
  const take = page.getByRole("button", { name: "Take the watch on this device" });
  await take.click();
  await page.getByText("This device has the watch").waitFor({ timeout: 8_000 });
  await until(async () => (await boat.ask("GET", "/watch")).who !== null);
  // Nothing is heard of the instruments: the watch is blind, and says so in one word.
  await page.getByRole("heading", { name: "Blind" }).waitFor();
  assert.deepEqual(faults, []);
  await context.close();
});
