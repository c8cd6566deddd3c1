// A stay is planned, tried and kept, by hand and by keyboard, in every light and size.
import assert from "node:assert/strict";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { after, before, test } from "node:test";
import AxeBuilder from "@axe-core/playwright";
import { Boat, closeBrowser, device, example, LIGHTS, pictures, SIZES, until } from "./boat.mjs";

let boat;
before(async () => (boat = await Boat.serve()));
after(async () => {
  await closeBrowser();
  await boat.stop();
});

test("a stay is planned from an empty store, and a worse forecast changes the word", async () => {
  const { page, faults, go, context } = await device(boat, { size: "laptop" });
  await go("stays");
  await page.getByText("No stay is planned yet").waitFor();
  await page.getByRole("link", { name: "Plan a stay" }).click();
  await page.getByText("A stay needs a vessel").waitFor();
  await page.getByRole("link", { name: "Write down a vessel" }).click();

  // Nothing told: every problem at its field, nothing kept.
  await page.getByRole("button", { name: "Keep", exact: true }).click();
  await page.getByText(/things are wrong; nothing was kept/).waitFor();
  assert.ok(0 < (await page.locator("[aria-invalid=true]").count()) + (await page.locator(".problems li").count()));
  assert.equal((await boat.ask("GET", "/vessels")).vessels.length, 0);

  await page.getByRole("button", { name: "As a file" }).click();
  await page.getByRole("textbox", { name: "The file" }).fill(await example("vessels/sailing-monohull.toml"));
  await page.getByRole("button", { name: "Keep", exact: true }).click();
  await page.getByRole("link", { name: "Merganser" }).waitFor();

  await go("stays/new");
  await page.getByLabel("Name of the berth").fill("Corrant Bay");
  await page.getByLabel("Where the anchor is to lie").fill("33°58.200'N 120°58.000'W");
  await page.getByLabel("From (wanted)").fill("2026-08-14T16:00:00");
  await page.getByLabel("To (wanted)").fill("2026-08-15T10:00:00");
  await page.getByLabel("Clock of these times").fill("America/Los_Angeles");
  await page.getByLabel("Anchor", { exact: true }).fill("bower");
  await page.getByLabel("Rode", { exact: true }).fill("chain");
  await page.getByLabel("Snubber", { exact: true }).fill("long snubber");
  await page.getByLabel("Charted depth").fill("17 ft");
  await page.getByLabel("Nature").fill("sand");
  await page.getByLabel("No tide here").selectOption("yes");
  await page.getByLabel("No stream here").selectOption("yes");
  await page.getByLabel("Exposure").selectOption("off land");
  const line = page.getByRole("group", { name: "Wind by the hour" });
  for (const [index, at] of ["2026-08-14T15:00:00", "2026-08-14T21:00:00", "2026-08-15T03:00:00", "2026-08-15T09:00:00", "2026-08-15T12:00:00"].entries()) {
    await line.getByRole("button", { name: "Add a line" }).click();
    const row = line.locator(".row").nth(index);
    await row.getByLabel("At").fill(at);
    await row.getByLabel("From").fill("310");
    await row.getByLabel("Mean").fill("9 kn");
    await row.getByLabel("Gust").fill("14 kn");
  }
  const sea = page.getByRole("group", { name: "Fetch by sector, clockwise" });
  for (const [index, [from, to]] of [
    ["0", "180"],
    ["180", "0"],
  ].entries()) {
    await sea.getByRole("button", { name: "Add a sector" }).click();
    const row = sea.locator(".row").nth(index);
    await row.getByLabel("From").fill(from);
    await row.getByLabel("To").fill(to);
    await row.getByLabel("Open water").fill("300 m");
  }
  await page.getByRole("button", { name: "Keep", exact: true }).click();
  const word = page.locator(".stay .verdict").first();
  await word.waitFor({ timeout: 15_000 });
  const before = await word.textContent();
  assert.match(before, /Lies/, await page.locator(".reasons").innerText());

  // The wind of a gale.
  await page.getByRole("link", { name: "Change the plan" }).click();
  const rows = page.getByRole("group", { name: "Wind by the hour" }).locator(".row");
  for (const index of [0, 1, 2, 3, 4]) {
    await rows.nth(index).getByLabel("Mean").fill("42 kn");
    await rows.nth(index).getByLabel("Gust").fill("60 kn");
  }
  await page.getByRole("button", { name: "Keep", exact: true }).click();
  await page.locator(".verdict", { hasText: "Do not lie here" }).waitFor({ timeout: 15_000 });
  assert.deepEqual(faults, []);
  await context.close();
});

test("a length of rode is tried, shown beside what is kept, and kept; another device sees it", async () => {
  const { stay } = await boat.keepExamples();
  const one = await device(boat, { size: "laptop" });
  const other = await device(boat);
  for (const it of [one, other]) {
    await it.go(`stays/${stay}`);
    await it.page.locator(".along").waitFor({ timeout: 15_000 });
  }
  const slider = one.page.getByRole("slider", { name: /Rode out/ });
  await slider.focus();
  const kept = Number.parseInt(await one.page.locator(".heads .figure").first().textContent(), 10);
  for (let step = 0; step < 4; step++) await slider.press("ArrowLeft");
  const tried = `${kept - 4} m`;
  await one.page.getByText("Tried, not kept").first().waitFor();
  const row = one.page.locator(".pending tr", { hasText: "rode out" }).locator("td");
  await until(async () => (await row.nth(1).textContent()) === tried);
  await one.page.getByRole("button", { name: "Keep it" }).click();
  await until(async () => (await other.page.locator(".heads .figure").first().textContent()) === tried, 15_000);
  assert.deepEqual([...one.faults, ...other.faults], []);
  await Promise.all([one.context.close(), other.context.close()]);
});

test("the keyboard alone moves the cursor, and every drawn figure is there in words", async () => {
  const [{ id }] = (await boat.ask("GET", "/stays")).stays;
  const { page, go, context } = await device(boat, { size: "laptop" });
  await go(`stays/${id}`);
  const cursor = page.getByRole("slider", { name: "Moment of the stay" });
  await cursor.waitFor({ timeout: 15_000 });
  await cursor.focus();
  await cursor.press("Home");
  const first = await cursor.getAttribute("aria-valuetext");
  await cursor.press("PageUp");
  await until(async () => (await cursor.getAttribute("aria-valuetext")) !== first);
  const says = await cursor.getAttribute("aria-valuetext");
  const time = says.split(";")[0];
  await page.locator(".at-cursor h2", { hasText: time }).waitFor();
  for (const name of ["water under the keel", "gust", "bow from the anchor", "rode on the ground"]) {
    assert.ok(await page.locator(".at-cursor dt", { hasText: name }).first().isVisible(), name);
  }
  await context.close();
});

test("every room is clean by axe, within the width of a phone, and dim by night", async () => {
  const [{ id }] = (await boat.ask("GET", "/stays")).stays;
  await mkdir(pictures, { recursive: true });
  const rooms = ["stays", `stays/${id}`, `stays/${id}/edit`, "watch", "aboard"];
  for (const light of LIGHTS) {
    for (const size of Object.keys(SIZES)) {
      const { page, go, faults, context } = await device(boat, { size, light });
      for (const room of rooms) {
        await go(room);
        await page.locator("main h1").first().waitFor({ timeout: 15_000 });
        if (room.endsWith(id)) await page.locator(".along").waitFor();
        await page.waitForTimeout(150);
        const name = `${room.replace(id, "stay").replaceAll("/", "-")} ${size} ${light}`;
        const shot = await page.screenshot({ path: join(pictures, `${name}.png`) });
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        assert.ok(wide <= 0, `${name} is ${wide} px too wide`);
        if (light === "night") await assertDim(page, shot, name);
        if (size === "tablet") continue;
        const { violations } = await new AxeBuilder({ page }).analyze();
        const told = violations.map((it) => `${it.id}: ${it.nodes.map((node) => node.target.join(" ")).slice(0, 3).join("; ")}`);
        assert.deepEqual(told, [], name);
      }
      assert.deepEqual(faults, [], `${size} ${light}`);
      await context.close();
    }
  }
});

// Relative luminance 0.18 and no more than 16 of 255 in green and blue: what the style sheet of the lights promises.
async function assertDim(page, shot, name) {
  const worst = await page.evaluate(async (base64) => {
    const image = new Image();
    image.src = `data:image/png;base64,${base64}`;
    await image.decode();
    const canvas = new OffscreenCanvas(image.width, image.height);
    const pen = canvas.getContext("2d");
    pen.drawImage(image, 0, 0);
    const { data } = pen.getImageData(0, 0, image.width, image.height);
    const worst = [0, 0, 0];
    for (let at = 0; at < data.length; at += 4) for (let part = 0; part < 3; part++) worst[part] = Math.max(worst[part], data[at + part]);
    return worst;
  }, shot.toString("base64"));
  const [red, green, blue] = worst;
  const luminance = 0.2126 * ((red / 255 + 0.055) / 1.055) ** 2.4;
  assert.ok(luminance <= 0.18 && green <= 16 && blue <= 16, `${name}: ${worst}`);
}

test("the first load is small, comes from one origin, and can be used in a second on a slow device", async () => {
  const { page, context, faults } = await device(boat);
  const client = await context.newCDPSession(page);
  await client.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  let bytes = 0;
  await client.send("Network.enable");
  client.on("Network.loadingFinished", (event) => (bytes += event.encodedDataLength));
  const begun = Date.now();
  await page.goto(`${boat.origin}/#/stays`);
  await page.locator("main h1").waitFor();
  const took = Date.now() - begun;
  assert.ok(bytes < 300_000, `${bytes} bytes`);
  // A second is aimed at; the machine that runs this may be at other work.
  assert.ok(took < 3_000, `${took} ms`);
  console.log(`first load: ${bytes} bytes, ${took} ms with the processor slowed four times`);
  assert.deepEqual(faults, []);
  await context.close();
});
