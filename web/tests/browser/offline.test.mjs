// Under TLS, by the boat's own authority, a page is kept by the browser: opened anew without the boat it is there, and
// says that nothing is heard of her.
import assert from "node:assert/strict";
import { createHash, X509Certificate } from "node:crypto";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { Boat, browserWords, freePort } from "./boat.mjs";

let boat;
let port;
let profile;
let context;
before(async () => {
  port = await freePort();
  boat = await Boat.serve(["serve", "--tls", `127.0.0.1:${port}`]);
  profile = await mkdtemp(join(tmpdir(), "windrode-profile-"));
});
after(async () => {
  await context?.close();
  await boat.stop();
  await rm(profile, { recursive: true, force: true });
});

/** What a browser is told to trust, as if the boat's authority were installed: the hash of its key (RFC 7469 §2.4). */
async function keyHash() {
  const certificate = await (await fetch(`${boat.origin}/ca.crt`)).arrayBuffer();
  const { publicKey } = new X509Certificate(Buffer.from(certificate));
  return createHash("sha256").update(publicKey.export({ type: "spki", format: "der" })).digest("base64");
}

test("opened anew without the boat, the page is there, STALE, and shows nothing old as new", async () => {
  context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [...browserWords, `--ignore-certificate-errors-spki-list=${await keyHash()}`],
    viewport: { width: 360, height: 780 },
  });
  const page = await context.newPage();
  await page.goto(`https://127.0.0.1:${port}/#/watch`);
  await page.getByRole("heading", { name: "No watch is kept." }).waitFor();
  assert.ok(await page.evaluate(() => window.isSecureContext));
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await boat.kill();
  await page.reload();
  await page.getByRole("navigation").waitFor();
  await page.getByRole("alert").filter({ hasText: "STALE" }).waitFor({ timeout: 8_000 });
  assert.equal(await page.getByRole("heading", { name: "No watch is kept." }).count(), 0);
  // The boat is back, and so is the page, by itself.
  await boat.start();
  await page.getByRole("heading", { name: "No watch is kept." }).waitFor({ timeout: 20_000 });
  await page.getByRole("alert").filter({ hasText: "STALE" }).waitFor({ state: "detached" });
});
