// The real program on real sockets, and a browser that looks at it.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const program = process.env.WINDRODE ?? join(root, "target/debug/windrode");
/** Where pictures are left for a person to look at. */
export const pictures = process.env.WINDRODE_PICTURES ?? join(root, "target/pictures");

/** A port that nobody listens on. */
export async function freePort() {
  const server = createServer();
  await new Promise((done) => server.listen(0, "127.0.0.1", done));
  const { port } = server.address();
  await new Promise((done) => server.close(done));
  return port;
}

/** The program, serving; `stop` ends it, `kill` as a power cut would. */
export class Boat {
  static async serve(words = [], given = {}) {
    const boat = new Boat();
    boat.data = given.data ?? (await mkdtemp(join(tmpdir(), "windrode-boat-")));
    boat.port = given.port ?? (await freePort());
    boat.words = words;
    await boat.start();
    return boat;
  }

  async start() {
    const listen = `127.0.0.1:${this.port}`;
    const [command = "serve", ...rest] = this.words;
    this.child = spawn(program, [command, "--data", this.data, "--listen", listen, "--no-sound", ...rest], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    this.said = "";
    for (const stream of [this.child.stdout, this.child.stderr]) stream.on("data", (text) => (this.said += text));
    this.ended = new Promise((done) => this.child.on("exit", done));
    await until(async () => (await fetch(`${this.origin}/api/v1/me`)).ok, 20_000, () => this.said);
  }

  get origin() {
    return `http://127.0.0.1:${this.port}`;
  }

  async ask(method, path, body) {
    const answer = await fetch(`${this.origin}/api/v1${path}`, {
      method,
      headers: { "content-type": "application/json", origin: this.origin },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const said = await answer.json();
    if (!answer.ok) throw new Error(`${method} ${path}: ${answer.status} ${JSON.stringify(said)}`);
    return said;
  }

  /** Keeps the invented boat and her stay of the examples. */
  async keepExamples() {
    const vessel = await this.ask("POST", "/vessels", { text: await example("vessels/sailing-monohull.toml") });
    const text = (await example("stays/corrant-bay.toml")).replace("../vessels/sailing-monohull.toml", vessel.id);
    const stay = await this.ask("POST", "/stays", { text });
    return { vessel: vessel.id, stay: stay.id };
  }

  async kill() {
    this.child.kill("SIGKILL");
    await this.ended;
  }

  async stop() {
    this.child.kill("SIGTERM");
    await this.ended;
    await rm(this.data, { recursive: true, force: true });
  }
}

export const example = (name) => readFile(join(root, "examples", name), "utf8");

/** Waits until something is so. */
export async function until(is, within = 10_000, why = () => "") {
  const begun = Date.now();
  for (;;) {
    if (await Promise.resolve(is()).catch(() => false)) return;
    if (within < Date.now() - begun) throw new Error(`not so within ${within} ms: ${is} ${why()}`);
    await new Promise((done) => setTimeout(done, 50));
  }
}

export const SIZES = { phone: { width: 360, height: 780 }, tablet: { width: 820, height: 1180 }, laptop: { width: 1366, height: 860 } };
export const LIGHTS = ["day", "sun", "night"];

/** What every browser here is started with. */
export const browserWords = [
  "--no-sandbox",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--disable-quic",
  "--no-first-run",
  "--autoplay-policy=user-gesture-required",
];

let browser = null;
export async function openBrowser() {
  browser ??= await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: browserWords,
  });
  return browser;
}

export async function closeBrowser() {
  await browser?.close();
  browser = null;
}

/** A device: a context of its own. Whatever it asks of another origin, and every error of the page, is kept. */
export async function device(boat, { size = "phone", light = "day", options = {} } = {}) {
  const context = await (await openBrowser()).newContext({ viewport: SIZES[size], reducedMotion: "reduce", ...options });
  await context.addInitScript((it) => localStorage.setItem("windrode.light", it), light);
  const page = await context.newPage();
  const faults = [];
  page.on("pageerror", (error) => faults.push(error.message));
  page.on("console", (line) => {
    if (line.type() === "error" && !line.text().includes("Failed to load resource")) faults.push(line.text());
  });
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.protocol.startsWith("http") && url.origin !== boat.origin) faults.push(`asked ${url.origin}`);
  });
  return { context, page, faults, go: (room) => page.goto(`${boat.origin}/#/${room}`) };
}

// Relative luminance 0.18 and no more than 16 of 255 in green and blue: what the style sheet of the lights promises.
export async function assertDim(page, shot, name) {
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

/** The way over the network, where a device must be paired: an address beside the loopback one. */
export class Network {
  constructor(boat, port, scheme = "http") {
    this.boat = boat;
    this.origin = `${scheme}://127.0.0.1:${port}`;
  }

  /** A telephone of somebody's, paired by the code that the boat's screen shows. */
  async phone(name, given = {}) {
    const { code } = await this.boat.ask("POST", "/devices/codes", { role: "act" });
    const it = await device(this, given);
    await it.go("watch");
    await it.page.getByLabel("Code").fill(code);
    await it.page.getByLabel("Name of this device").fill(name);
    await it.page.getByRole("button", { name: "Make it one of the boat's" }).click();
    await it.page.locator(".watch, #no-watch").first().waitFor();
    return it;
  }
}

/** Instruments on a real socket, five times a second, to whoever connects. */
export class Instruments {
  static async speak(given = {}) {
    const it = Object.assign(new Instruments(), { depth_m: 6, wind_kn: 9, ...given });
    it.callers = new Set();
    it.server = createServer((socket) => {
      it.callers.add(socket);
      socket.on("close", () => it.callers.delete(socket));
      socket.on("error", () => it.callers.delete(socket));
    });
    await new Promise((done) => it.server.listen(0, "127.0.0.1", done));
    it.port = it.server.address().port;
    it.timer = setInterval(() => it.say(), 200);
    return it;
  }

  get feed() {
    return `tcp://127.0.0.1:${this.port}`;
  }

  say() {
    this.turn = ((this.turn ?? 0) + 1) % 10;
    const said = [
      "HCHDT,315.0,T",
      `GPGGA,,3358.19${String(this.turn).padStart(2, "0")},N,12058.0000,W,1,10,0.9,2.0,M,-35.0,M,,`,
      `SDDPT,${this.depth_m.toFixed(1)},0.0`,
      `WIMWD,310.0,T,297.0,M,${this.wind_kn.toFixed(1)},N,4.6,M`,
    ];
    const text = said.map((body) => `$${body}*${sum(body)}\r\n`).join("");
    for (const caller of this.callers) caller.write(text);
  }

  /** Their socket dies, and nobody answers there any more. */
  async cut() {
    clearInterval(this.timer);
    this.server.close();
    for (const caller of this.callers) caller.destroy();
  }
}

/** The checksum of a sentence (IEC 61162-1): exclusive or of all between `$` and `*`. */
function sum(body) {
  const all = [...body].reduce((sum, it) => sum ^ it.charCodeAt(0), 0);
  return all.toString(16).toUpperCase().padStart(2, "0");
}

/** Listens to what a page sends to its loudspeaker: whatever is connected to the end of an audio graph goes through a
 * meter. Told before the page is opened. */
export async function ear(page) {
  await page.addInitScript(() => {
    const connect = AudioNode.prototype.connect;
    const meters = [];
    AudioNode.prototype.connect = function (to, ...rest) {
      if (to === this.context.destination) {
        const meter = this.context.createAnalyser();
        meter.fftSize = 2048;
        meters.push(meter);
        connect.call(this, meter);
      }
      return connect.call(this, to, ...rest);
    };
    window.loudest = () => {
      const samples = new Float32Array(2048);
      return Math.max(0, ...meters.map((meter) => (meter.getFloatTimeDomainData(samples), Math.max(...samples.map(Math.abs)))));
    };
  });
}

/** Whether a page sounds within so long: two samples of ten, since a pattern has rests. */
export const heard = (page, within) => until(async () => 0.05 < (await page.evaluate(() => window.loudest())), within);

/** Whether it is still for two rounds of any pattern. */
export async function still(page) {
  const end = Date.now() + 2_500;
  while (Date.now() < end) {
    assert.ok((await page.evaluate(() => window.loudest())) < 0.05, "it sounds");
    await page.waitForTimeout(60);
  }
}

/** Presses a button for as long as it wants. */
export async function hold(page, button) {
  await button.scrollIntoViewIfNeeded();
  const box = await button.boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.waitForTimeout(1_300);
  await page.mouse.up();
}
