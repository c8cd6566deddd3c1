// The real program on real sockets, and a browser that looks at it.
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

let browser = null;
export async function openBrowser() {
  browser ??= await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      "--disable-quic",
      "--no-first-run",
      "--autoplay-policy=user-gesture-required",
    ],
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
