// Bundles the tests of the page's own arithmetic and runs them in node.
import { build } from "esbuild";
import { spawnSync } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const here = fileURLToPath(new URL(".", import.meta.url));
const out = await mkdtemp(join(tmpdir(), "windrode-page-"));
await build({
  entryPoints: [join(here, "page.test.ts")],
  bundle: true,
  platform: "node",
  format: "esm",
  outfile: join(out, "page.test.mjs"),
  logLevel: "warning",
});
const { status } = spawnSync(process.execPath, ["--test", join(out, "page.test.mjs")], { stdio: "inherit" });
await rm(out, { recursive: true, force: true });
process.exit(status ?? 1);
