// The watch with an alarm that rings: killed and started again, its instruments cut off, handed from one telephone to
// the other.
import assert from "node:assert/strict";
import { after, test } from "node:test";
import { Boat, closeBrowser, device, ear, freePort, heard, hold, Instruments, Network, still, until } from "./boat.mjs";

const LITTLE_WATER_M = 0.1;
const MUCH_WATER_M = 6;
const open = [];

/** A boat whose watch is kept, with instruments that speak. */
async function boatOnWatch(words = []) {
  const instruments = await Instruments.speak();
  const boat = await Boat.serve(["serve", "--feed", instruments.feed, ...words]);
  open.push(async () => (await instruments.cut(), await boat.stop()));
  const { stay } = await boat.keepExamples();
  await boat.ask("POST", "/watch", { stay });
  return { boat, instruments };
}

after(async () => {
  await closeBrowser();
  await Promise.all(open.map((end) => end()));
});

test("killed in the middle of an alarm it is found armed and ringing, and the page comes back by itself", async () => {
  const { boat, instruments } = await boatOnWatch();
  const { page, go, context, faults } = await device(boat);
  await ear(page);
  await go("watch");
  await page.getByRole("button", { name: "Take the watch on this device" }).click();
  // The alarm is tried once, and then it is still.
  await heard(page, 5_000);
  await page.getByText("This device has the watch.").waitFor();
  await still(page);
  const ringing = page.locator('.alarms li[data-standing="ringing"]').filter({ hasText: /under the keel/i });
  instruments.depth_m = LITTLE_WATER_M;
  await ringing.waitFor({ timeout: 15_000 });
  await heard(page, 3_000);
  await boat.kill();
  const veil = page.getByRole("alert").filter({ hasText: "STALE" });
  await veil.waitFor({ timeout: 6_000 });
  await heard(page, 3_000);
  await boat.start();
  const { view } = await boat.ask("GET", "/watch");
  assert.equal(view.alarms.find((it) => it.alarm === "water")?.standing, "ringing");
  await veil.waitFor({ state: "detached", timeout: 10_000 });
  await ringing.waitFor();
  await heard(page, 3_000);
  await hold(page, page.getByRole("button", { name: /Hold to acknowledge: .*keel/i }));
  await page.getByText(/acknowledged by the boat's computer \d\d:\d\d/).waitFor();
  await still(page);
  assert.deepEqual(faults, []);
  await context.close();
});

test("instruments that are cut off make it blind, and that rings: silence is never shown as safety", async () => {
  const { boat, instruments } = await boatOnWatch();
  const { page, go, context, faults } = await device(boat);
  await go("watch");
  await until(async () => (await boat.ask("GET", "/watch")).view.here !== null);
  await instruments.cut();
  await page.getByRole("heading", { name: "Blind" }).waitFor({ timeout: 60_000 });
  await page.locator('.alarms li[data-standing="ringing"]').first().waitFor();
  // Nor is an old place, or an old depth, shown as now.
  await page.getByText(/Last seen at \d\d:\d\d/).waitFor({ timeout: 60_000 });
  await page.locator(".figures > div", { hasText: "water now" }).getByText("unknown").waitFor();
  await go("aboard");
  await page.getByText("is lost").first().waitFor();
  assert.deepEqual(faults, []);
  await context.close();
});

test("two telephones hand the watch over in two taps, and one that is opened anew says that it is mute", async () => {
  const port = await freePort();
  const { boat, instruments } = await boatOnWatch(["--listen", `0.0.0.0:${port}`]);
  instruments.depth_m = MUCH_WATER_M;
  const network = new Network(boat, port);
  const mara = await network.phone("Mara's phone");
  const odo = await network.phone("Odo's phone");
  await ear(odo.page);
  await odo.go("watch");
  await odo.page.reload();
  // It was nobody's yet but the boat's own: she takes it.
  await mara.page.getByRole("button", { name: "Take the watch on this device" }).click();
  await odo.page.getByText("Mara's phone has the watch.").waitFor();
  await mara.page.getByRole("button", { name: "Hand it to Odo's phone" }).click();
  await odo.page.getByRole("button", { name: "Take it" }).click();
  await heard(odo.page, 4_000);
  await mara.page.getByText("Odo's phone has the watch.").waitFor();
  await odo.page.getByText("This device has the watch.").waitFor();
  assert.equal((await boat.ask("GET", "/watch")).who.name, "Odo's phone");
  // What rings is acknowledged on the one, and both show who heard it.
  instruments.depth_m = LITTLE_WATER_M;
  await odo.page.locator('.alarms li[data-standing="ringing"]').first().waitFor({ timeout: 15_000 });
  await hold(mara.page, mara.page.getByRole("button", { name: /Hold to acknowledge/ }).first());
  for (const { page } of [mara, odo]) await page.getByText(/acknowledged by Mara's phone \d\d:\d\d/).first().waitFor();
  await still(odo.page);
  // Opened anew, a browser lets no page sound before a tap.
  await odo.page.reload();
  await odo.page.getByText(/This device makes no sound/).waitFor();
  await odo.page.getByRole("button", { name: "Sound here again" }).click();
  await odo.page.getByRole("button", { name: "Give it up" }).click();
  await mara.page.getByText("Nobody has the watch on a device.").waitFor();
  await mara.page.getByText("What rang, and what was said").click();
  await mara.page.locator(".log li", { hasText: "Mara's phone: “acknowledge" }).first().waitFor();
  assert.deepEqual([...mara.faults, ...odo.faults], []);
  await Promise.all([mara.context.close(), odo.context.close()]);
});
