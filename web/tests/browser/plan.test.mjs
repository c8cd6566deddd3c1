// A stay is planned, tried and kept, by hand and by keyboard, in every light and size.
import assert from "node:assert/strict";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { after, before, test } from "node:test";
import AxeBuilder from "@axe-core/playwright";
import { assertDim, Boat, closeBrowser, device, example, LIGHTS, pictures, until } from "./boat.mjs";

/** What is held in one hand, lies on a lap, stands on the chart table. */
const ROOMS = { phone: { width: 360, height: 740 }, tablet: { width: 820, height: 1180 }, laptop: { width: 1280, height: 800 } };
const room = ({ size, light }) => device(boat, { size, light, options: { viewport: ROOMS[size] } });

let boat;
before(async () => {
  await mkdir(pictures, { recursive: true });
  boat = await Boat.serve();
});
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
  await page.getByLabel("Anchor", { exact: true }).selectOption("bower");
  await page.getByLabel("Rode", { exact: true }).selectOption("chain");
  await page.getByLabel("Snubber", { exact: true }).selectOption("long snubber");
  await page.getByLabel("Charted depth").fill("17 ft");
  await page.getByText("Words for nature").click();
  await page.getByRole("button", { name: "sand", exact: true }).click();
  assert.equal(await page.getByLabel("Nature", { exact: true }).inputValue(), "sand");
  await page.getByLabel("No tide here").selectOption("yes");
  await page.getByLabel("No stream here").selectOption("yes");
  await page.getByLabel("Exposure").selectOption("off land");
  await page.getByText("the wind comes over land to windward").waitFor();
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
  const slider = one.page.getByRole("slider", { name: /^Rode out: \d/ });
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

test("a wind is turned and strengthened by hand and by keys, is named as tried, and goes back at one tap", async () => {
  const [{ id }] = (await boat.ask("GET", "/stays")).stays;
  const { page, faults, go, context } = await device(boat, { size: "laptop" });
  await go(`stays/${id}`);
  const arrow = page.getByRole("slider", { name: /^The wind:/ });
  await arrow.waitFor({ timeout: 15_000 });
  const [word, was] = [page.locator(".stay .verdict").first(), await arrow.getAttribute("aria-valuetext")];
  const calm = await word.textContent();
  // Its point is pulled towards the middle and to one side: stronger, and from elsewhere.
  const drawing = await page.locator(".above svg").boundingBox();
  const [middle, box] = [[drawing.x + drawing.width / 2, drawing.y + drawing.height / 2], await arrow.boundingBox()];
  const from = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(...from);
  await page.mouse.down();
  await page.mouse.move(from[0] + 0.6 * (middle[0] - from[0]), from[1] + 0.45 * (middle[1] - from[1]), { steps: 6 });
  await page.mouse.up();
  await page.getByText(/^Tried, not forecast\./).waitFor();
  await until(async () => (await arrow.getAttribute("aria-valuetext")) !== was);
  assert.match(await arrow.getAttribute("aria-valuetext"), /tried$/);
  assert.ok(await page.getByRole("button", { name: "Keep it" }).isDisabled(), "a wind is not kept");
  // A gale by the slider: the word follows.
  const strength = page.getByRole("slider", { name: "Strength of the wind" });
  await strength.focus();
  await strength.press("End");
  await until(async () => (await word.textContent()) !== calm, 15_000);
  await page.getByRole("button", { name: "Back to the forecast" }).click();
  await until(async () => (await word.textContent()) === calm, 15_000);
  await until(async () => (await page.getByText(/^Tried, not forecast\./).count()) === 0);
  assert.equal(await arrow.getAttribute("aria-valuetext"), was);
  // By keys alone.
  await arrow.focus();
  await arrow.press("ArrowRight");
  await page.getByText("Turned 5° clockwise", { exact: true }).waitFor();
  await arrow.press("Escape");
  await page.getByText("From where it is forecast", { exact: true }).waitFor();
  assert.deepEqual(faults, []);
  await context.close();
});

test("a device reads its own units everywhere, and the vessel's where none was chosen", async () => {
  const [{ id }] = (await boat.ask("GET", "/stays")).stays;
  const { page, faults, go, context } = await device(boat, { size: "laptop" });
  await go("aboard");
  await page.getByLabel("Lengths").selectOption("feet");
  await page.getByLabel("Forces").selectOption("pounds");
  await go(`stays/${id}`);
  await page.locator(".along").waitFor({ timeout: 15_000 });
  await until(async () => / ft/.test(await page.locator(".sentence").innerText()), 15_000);
  const all = await page.locator("main").innerText();
  // m² and m/s are no lengths; the rule of a collision convention is told in its own metres.
  assert.doesNotMatch(all, /\d m(?![\w²³/])|daN/, all.match(/.{30}(\d m(?![\w²³/])|daN).{10}/)?.[0]);
  await go(`stays/${id}/edit`);
  assert.equal(await page.getByLabel("Charted depth").getAttribute("placeholder"), "17 ft");
  await go("aboard");
  await page.getByLabel("Lengths").selectOption("");
  await go(`stays/${id}`);
  await until(async () => /\d m\b/.test(await page.locator(".heads").innerText()), 15_000);
  assert.deepEqual(faults, []);
  await context.close();
});

/** A stay among many: the examples' own with boats all round, some close by, and with a long name. */
async function crowded() {
  const [{ id }] = (await boat.ask("GET", "/stays")).stays;
  const { text } = await boat.ask("GET", `/stays/${id}`);
  const names = ["Isbjørn", "the long grey schooner with the tan sails", "Q", "small sloop", "white motor cruiser"];
  const him = (k) => `\n[[neighbour]]\nname = "${names[k % names.length]} ${k}"\nrange = "${60 + (k * 37) % 170} m"\nbearing = ${(k * 137) % 360}\nlength = "${8 + (k % 9)} m"\nrode = "${20 + (k % 5) * 8} m"\nkind = "chain"\n`;
  const more = Array.from({ length: 24 }, (_, k) => him(k)).join("");
  const told = text.replace(/name = "Corrant Bay"/, 'name = "Crowded Bay"');
  return (await boat.ask("POST", "/stays", { text: told + more })).id;
}

test("no word of a drawing covers another, a neighbour, or his circle, however many they are", async () => {
  const [{ id }] = (await boat.ask("GET", "/stays")).stays;
  const all = [id, await crowded()];
  for (const size of Object.keys(ROOMS)) {
    const { page, go, context } = await room({ size });
    for (const stay of all) {
      await go(`stays/${stay}`);
      await page.locator(".along").waitFor({ timeout: 20_000 });
      await page.locator(".side svg").waitFor();
      await page.waitForTimeout(200);
      await page.locator(".drawings").screenshot({ path: join(pictures, `drawings of ${stay === id ? "a stay" : "a crowd"} ${size}.png`) });
      assert.deepEqual(await page.evaluate(covered), [], `${stay} ${size}`);
    }
    await context.close();
  }
});

/** In the page: what covers what. Boxes are those of the letters as the browser has set them. */
function covered() {
  const faults = [];
  for (const svg of document.querySelectorAll(".drawing svg")) {
    const frame = svg.getBoundingClientRect();
    const boxes = [...svg.querySelectorAll("text")].filter((it) => !it.closest(".plated")).map((it) => ({ text: it.textContent, box: it.getBoundingClientRect() }));
    // A letter's box has the air of its line above and below it.
    const inked = ({ left, right, top, bottom, height }) => ({ left, right, top: top + 0.15 * height, bottom: bottom - 0.15 * height });
    boxes.forEach(({ text, box }, index) => {
      const a = inked(box);
      if (box.left < frame.left - 1 || frame.right + 1 < box.right) faults.push(`"${text}" is cut off`);
      for (const other of boxes.slice(index + 1)) {
        const b = inked(other.box);
        if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom) faults.push(`"${text}" and "${other.text}"`);
      }
      for (const circle of svg.querySelectorAll(".neighbour circle")) {
        const c = circle.getBoundingClientRect();
        const [x, y, r] = [(c.left + c.right) / 2, (c.top + c.bottom) / 2, c.width / 2];
        const near = Math.hypot(Math.max(a.left - x, 0, x - a.right), Math.max(a.top - y, 0, y - a.bottom));
        const far = Math.hypot(Math.max(x - a.left, a.right - x), Math.max(y - a.top, a.bottom - y));
        const body = circle.classList.contains("outline");
        if (near < r - 1 && (body || r + 1 < far)) faults.push(`"${text}" is on a ${body ? "hull" : "circle"}`);
      }
    });
  }
  return faults;
}

test("what is dragged is drawn at once", async () => {
  const [{ id }] = (await boat.ask("GET", "/stays")).stays;
  const { page, faults, go, context } = await device(boat, { size: "laptop" });
  await go(`stays/${id}`);
  const drop = page.getByRole("slider", { name: /^Where the anchor lies/ });
  await drop.waitFor({ timeout: 15_000 });
  await page.waitForTimeout(500);
  const rode = page.getByRole("slider", { name: /^Rode out:/ }).first();
  const tell = (name, all) => {
    all.sort((a, b) => a - b);
    const at = (share) => Math.round(all[Math.min(all.length - 1, Math.floor(share * all.length))]);
    console.log(`${name}: input to drawn, ${all.length} moves: median ${at(0.5)} ms, 9 in 10 within ${at(0.9)} ms, slowest ${at(1)} ms`);
    // 100 ms are aimed at; the machine that runs this may be at other work, and the program is not the one that ships.
    assert.ok(at(0.5) < 1_000, `${name}: ${at(0.5)} ms`);
  };
  for (const [name, grip, drawn] of [["drop point", drop, ".above g.neighbour circle"], ["rode", rode, ".side path.rode"]]) {
    const box = await grip.boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    const all = [];
    for (let move = 1; move <= 25; move++) {
      const told = page.evaluate(firstDrawn, drawn);
      await page.mouse.move(x + (move % 2 === 0 ? 8 : -8) - move / 5, y + move / 5);
      all.push(await told);
    }
    await page.mouse.up();
    tell(name, all);
    await page.getByRole("button", { name: "Put it back" }).click();
    await page.getByText("Tried, not kept").first().waitFor({ state: "detached" });
    await page.waitForTimeout(600);
  }
  assert.deepEqual(faults, []);
  await context.close();
});

/** In the page: from the next movement of the pointer to the frame after that in which its sheet was drawn, ms. */
function firstDrawn(selector) {
  return new Promise((done) => {
    let moved = null;
    addEventListener("pointermove", (event) => (moved ??= event.timeStamp), { capture: true, once: true });
    const watcher = new MutationObserver(() => {
      if (moved === null) return;
      watcher.disconnect();
      requestAnimationFrame(() => requestAnimationFrame((now) => done(Math.max(now, performance.now()) - moved)));
    });
    for (const it of document.querySelectorAll(selector)) watcher.observe(it, { attributes: true });
  });
}

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
  const rooms = ["stays", `stays/${id}`, `stays/${id}/edit`, "watch", "aboard", "pair"];
  for (const light of LIGHTS) {
    for (const size of Object.keys(ROOMS)) {
      const { page, go, faults, context } = await room({ size, light });
      for (const where of rooms) {
        // A device that the boat does not know is shown one room, whatever it asks for.
        if (where === "pair") {
          await page.route("**/api/v1/me", async (route) => {
            const answer = await route.fetch();
            await route.fulfill({ response: answer, json: { ...(await answer.json()), role: "none" } });
          });
          await go("stays");
          await page.reload();
        } else await go(where);
        await page.locator("main h1").first().waitFor({ timeout: 15_000 });
        if (where.endsWith(id)) await page.locator(".along").waitFor();
        await page.waitForTimeout(250);
        const name = `${where.replace(id, "stay").replaceAll("/", "-")} ${size} ${light}`;
        const shot = await page.screenshot({ path: join(pictures, `${name}.png`) });
        // The whole of it once, for a person to look at.
        if (light === "day" || where.endsWith(id)) await page.screenshot({ path: join(pictures, `${name} whole.png`), fullPage: true });
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
