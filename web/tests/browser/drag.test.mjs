// A whole stay is played, faster than life, and her anchor drags: heard on one device, acknowledged on another, seen in
// every light.
import assert from "node:assert/strict";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { after, before, test } from "node:test";
import AxeBuilder from "@axe-core/playwright";
import { assertDim, Boat, closeBrowser, device, ear, heard, hold, LIGHTS, pictures, SIZES, still, until } from "./boat.mjs";

/** Times life: not so fast that a machine at other work is half a minute late, which is blindness. */
const SPEED = 40;
/** Minutes from coming in: she has lain for long enough that the watch knows her. */
const DRAGS_AFTER_MIN = 30;

let boat;
before(async () => {
  const out = join(pictures, "demo");
  boat = await Boat.serve(["demo", "--speed", `${SPEED}`, `--drag=${DRAGS_AFTER_MIN}`, "--out", out]);
});
after(async () => {
  await closeBrowser();
  await boat.stop();
});

/** A picture of what a phone, a tablet and a laptop show, in every light; by night nothing is bright. */
async function pictured(what) {
  await mkdir(pictures, { recursive: true });
  for (const light of LIGHTS) {
    for (const size of Object.keys(SIZES)) {
      const { page, go, context, faults } = await device(boat, { size, light });
      await go("watch");
      await page.locator(".watch .hours, #no-watch").first().waitFor();
      await page.waitForTimeout(400);
      const name = `watch ${what} ${size} ${light}`;
      const shot = await page.screenshot({ path: join(pictures, `${name}.png`) });
      if (light === "night") await assertDim(page, shot, name);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(wide <= 0, `${name} is ${wide} px too wide`);
      if (size === "phone") {
        const { violations } = await new AxeBuilder({ page }).analyze();
        const told = violations.map((it) => `${it.id}: ${it.nodes.map((node) => node.target.join(" ")).slice(0, 3).join("; ")}`);
        assert.deepEqual(told, [], name);
      }
      assert.deepEqual(faults, [], name);
      await context.close();
    }
  }
}

/** A device that never saw the page, its processor slowed four times: until the word of the watch stands there. */
async function firstLoad() {
  const { page, context, faults } = await device(boat);
  const client = await context.newCDPSession(page);
  await client.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  let bytes = 0;
  await client.send("Network.enable");
  client.on("Network.loadingFinished", (event) => (bytes += event.encodedDataLength));
  const begun = Date.now();
  await page.goto(`${boat.origin}/#/watch`, { waitUntil: "commit" });
  await page.locator(".verdict.huge").waitFor();
  const took = Date.now() - begun;
  assert.deepEqual(faults, []);
  await context.close();
  return { bytes, took };
}

test("she lies: what was measured, what is foretold, who lies near by; and the page is quick", async () => {
  await until(async () => (await boat.ask("GET", "/watch")).view?.verdict === "holding", 60_000);
  const loads = [await firstLoad(), await firstLoad(), await firstLoad()];
  const bytes = Math.max(...loads.map((it) => it.bytes));
  const took = Math.min(...loads.map((it) => it.took));
  console.log(`first load of the watch: ${bytes} bytes, best of three ${took} ms with the processor slowed four times`);
  assert.ok(bytes < 300_000, `${bytes} bytes`);
  // A second is aimed at; the machine that runs this may be at other work.
  assert.ok(took < 3_000, `${took} ms`);
  const { page, go, context, faults } = await device(boat);
  await go("watch");
  // The record goes back to before this page was opened.
  await page.locator(".hours .mean").first().waitFor();
  const { water_m, wind_ms } = await boat.ask("GET", "/watch/hours");
  assert.ok(5 < water_m.length && 5 < wind_ms.length);
  await page.getByText("GREY KETCH").first().waitFor();
  // Rode veered: what it would change.
  await page.getByLabel("Rode out now").fill("50 m");
  await page.locator(".difference td", { hasText: "50 m" }).waitFor({ timeout: 15_000 });
  assert.deepEqual(faults, []);
  await context.close();
  await pictured("holding");
});

test("her anchor drags: one device sounds, another says that it was heard, and both show it", async () => {
  const bunk = await device(boat);
  await ear(bunk.page);
  await bunk.go("watch");
  await bunk.page.getByRole("button", { name: "Take the watch on this device" }).click();
  await bunk.page.getByText("This device has the watch.").waitFor();
  const helm = await device(boat, { size: "laptop" });
  await helm.go("watch");
  const dragging = (page) => page.locator('.alarms li[data-standing="ringing"]').filter({ hasText: /anchor has gone|dragg/i });
  await dragging(helm.page).waitFor({ timeout: 90_000 });
  await dragging(bunk.page).waitFor({ timeout: 2_000 });
  await bunk.page.getByRole("heading", { name: "Dragging" }).waitFor();
  await heard(bunk.page, 3_000);
  await pictured("dragging");
  // One after the other, as they stand: what they say goes on changing.
  const ringing = helm.page.locator('.alarms li[data-standing="ringing"] .hold');
  while (0 < (await ringing.count())) {
    const before = await ringing.count();
    await hold(helm.page, ringing.first());
    await until(async () => (await ringing.count()) < before, 3_000).catch(() => undefined);
  }
  for (const { page } of [bunk, helm]) await page.getByText(/acknowledged by the boat's computer/).first().waitFor();
  await still(bunk.page);
  assert.deepEqual([...bunk.faults, ...helm.faults], []);
  await Promise.all([bunk.context.close(), helm.context.close()]);
});
