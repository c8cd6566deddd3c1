// What a night brings: the wire of the instruments is cut, the computer dies while it rings, the watch changes hands,
// the boat is out of reach; and a whole stay that is played, in which the anchor drags.
import assert from "node:assert/strict";
import { networkInterfaces } from "node:os";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { Boat, closeBrowser, device, freePort, until } from "./boat.mjs";
import { Instruments } from "./instruments.mjs";

const DROP = [-41.2, 174.8];

let instruments;
let boat;
before(async () => {
  instruments = await Instruments.at(...DROP);
  boat = await Boat.serve(["serve", "--feed", instruments.feed]);
  const { stay } = await boat.keepExamples();
  await boat.ask("POST", "/watch", { stay, drop: DROP });
});
after(async () => {
  await closeBrowser();
  await boat.stop();
  await instruments.stop();
});

/** Listens to what the page sends to the loudspeaker. */
const listen = () => {
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (to, ...rest) {
    if (to === this.context.destination) {
      const ear = this.context.createAnalyser();
      connect.call(this, ear);
      (window.ears ??= []).push(ear);
    }
    return connect.call(this, to, ...rest);
  };
};

/** The greatest loudness of half a second, of 1. */
const loudness = (page) =>
  page.evaluate(async () => {
    let most = 0;
    for (let look = 0; look < 10; look += 1) {
      for (const ear of window.ears ?? []) {
        const heard = new Float32Array(ear.fftSize);
        ear.getFloatTimeDomainData(heard);
        most = Math.max(most, ...heard.map(Math.abs));
      }
      await new Promise((done) => setTimeout(done, 50));
    }
    return most;
  });

async function withEars(of, size) {
  const it = await device(of, { size });
  await it.page.addInitScript(listen);
  await it.go("watch");
  return it;
}

const word = (page, name) => page.getByRole("heading", { name, exact: true });

test("a cut wire blinds the watch; it is heard on one device and acknowledged on another", async () => {
  const bow = await withEars(boat, "phone");
  const helm = await withEars(boat, "laptop");
  await bow.page.getByRole("button", { name: "Take the watch on this device" }).click();
  await bow.page.getByText("This device has the watch").waitFor({ timeout: 8_000 });
  await word(bow.page, "Doubtful").waitFor({ timeout: 15_000 });
  assert.equal(await loudness(bow.page), 0, "nothing rings yet");
  instruments.cut = true;
  for (const { page } of [bow, helm]) await word(page, "Blind").waitFor({ timeout: 45_000 });
  await until(async () => 0.1 < (await loudness(bow.page)), 5_000);
  assert.equal(await loudness(helm.page), 0, "only who has the watch is woken");
  const hold = helm.page.getByRole("button", { name: /^Hold to acknowledge/ }).first();
  await hold.waitFor({ timeout: 5_000 });
  await hold.dispatchEvent("pointerdown");
  await helm.page.waitForTimeout(1_200);
  for (const { page } of [bow, helm]) {
    await page.locator('li[data-standing="acknowledged"]').filter({ hasText: /fix/ }).waitFor({ timeout: 5_000 });
  }
  await until(async () => (await loudness(bow.page)) === 0, 5_000);
  instruments.cut = false;
  await word(bow.page, "Doubtful").waitFor({ timeout: 20_000 });
  assert.deepEqual([...bow.faults, ...helm.faults], []);
  await bow.context.close();
  await helm.context.close();
});

test("a computer that dies while it rings is found armed and ringing when it is back, and the page by itself", async () => {
  const { page, context } = await withEars(boat, "phone");
  await page.getByRole("button", { name: "Take the watch on this device" }).click();
  await page.getByText("This device has the watch").waitFor({ timeout: 8_000 });
  // The reason must have gone for a minute before it is news again.
  await until(async () => (await boat.ask("GET", "/watch")).view.alarms.every((it) => it.alarm !== "blind"), 90_000);
  instruments.cut = true;
  await page.locator('li[data-standing="ringing"]').filter({ hasText: /fix/ }).waitFor({ timeout: 45_000 });
  await boat.kill();
  await page.getByRole("alert").filter({ hasText: "STALE" }).waitFor({ timeout: 8_000 });
  await until(async () => 0.1 < (await loudness(page)), 5_000);
  await boat.start();
  const back = await boat.ask("GET", "/watch");
  assert.ok(back.view.alarms.some((it) => it.alarm === "blind" && it.standing === "ringing"), JSON.stringify(back.view.alarms));
  await page.getByRole("alert").filter({ hasText: "STALE" }).waitFor({ state: "detached", timeout: 10_000 });
  await page.locator('li[data-standing="ringing"]').filter({ hasText: /fix/ }).waitFor({ timeout: 5_000 });
  instruments.cut = false;
  await context.close();
});

test("the watch goes from one phone to the other in two taps", async (t) => {
  const address = Object.values(networkInterfaces()).flat().find((it) => it?.family === "IPv4" && !it.internal)?.address;
  if (address === undefined) return t.skip("this machine has no network but its own");
  const port = await freePort();
  const afloat = await Boat.serve(["serve", "--listen", `${address}:${port}`]);
  t.after(() => afloat.stop());
  const { stay } = await afloat.keepExamples();
  await afloat.ask("POST", "/watch", { stay, drop: DROP });
  const paired = async (name) => {
    const { url } = await afloat.ask("POST", "/devices/codes", { role: "act" });
    const it = await device({ origin: `http://${address}:${port}` });
    await it.page.goto(url.replace(/^[a-z]+:\/\/[^/#]+/, `http://${address}:${port}`));
    await it.page.getByRole("textbox").last().fill(name);
    await it.page.getByRole("button", { name: "Make it one of the boat's" }).click();
    await until(async () => (await afloat.ask("GET", "/devices")).devices.some((it) => it.name === name));
    await it.page.goto(`http://${address}:${port}/#/watch`);
    return it;
  };
  const one = await paired("Ines");
  const other = await paired("Tove");
  await one.page.getByRole("button", { name: "Take the watch on this device" }).click();
  await one.page.getByText("This device has the watch").waitFor({ timeout: 8_000 });
  await one.page.getByRole("button", { name: /Tove/ }).click();
  const accept = other.page.getByRole("button", { name: /take/i });
  await other.page.getByRole("alert").filter({ hasText: "Ines" }).waitFor({ timeout: 5_000 });
  await accept.click();
  await until(async () => (await afloat.ask("GET", "/watch")).who?.name === "Tove", 8_000);
  await one.page.getByText(/Tove/).first().waitFor({ timeout: 5_000 });
  await one.context.close();
  await other.context.close();
});

test("out of reach under TLS the page itself still opens, and says that the boat does not answer", async (t) => {
  const secure = await freePort();
  const afloat = await Boat.serve(["serve", "--tls", `127.0.0.1:${secure}`]);
  t.after(() => afloat.stop());
  // The authority is the boat's own; a phone would have installed it.
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--ignore-certificate-errors"],
  });
  const page = await browser.newPage();
  await page.goto(`https://127.0.0.1:${secure}/#/stays`);
  await page.locator("main h1").waitFor();
  assert.equal(await page.evaluate(() => window.isSecureContext), true);
  await page.evaluate(async () => {
    const ready = await navigator.serviceWorker.ready;
    if (ready.active?.state !== "activated") await new Promise((done) => setTimeout(done, 500));
  });
  await until(() => page.evaluate(() => navigator.serviceWorker.controller !== null), 10_000);
  await afloat.kill();
  await page.reload();
  await page.locator("header, main, nav").first().waitFor({ timeout: 5_000 });
  await page.getByText(/STALE/).first().waitFor({ timeout: 10_000 });
  await browser.close();
});
