// Builds the page: `node build.mjs OUTDIR`. Everything that the page needs ends up in OUTDIR, flat, with the hash of
// its content in the name of whatever may be kept for ever; index.html and the service worker keep theirs.
import { build } from "esbuild";
import { mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const here = fileURLToPath(new URL(".", import.meta.url));
const out = process.argv[2] ?? join(here, "dist");

const shared = {
  absWorkingDir: here,
  bundle: true,
  minify: true,
  format: "esm",
  target: ["chrome109", "firefox115", "safari16"],
  legalComments: "none",
  logLevel: "warning",
};

await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });

const page = await build({
  ...shared,
  entryPoints: { page: "src/main.tsx" },
  entryNames: "[name]-[hash]",
  assetNames: "[name]-[hash]",
  outdir: out,
  jsx: "automatic",
  jsxImportSource: "preact",
  loader: { ".svg": "file" },
  metafile: true,
});

const names = Object.keys(page.metafile.outputs).map((path) => path.split("/").at(-1));
const named = (ending) => names.find((name) => name.endsWith(ending));
const html = (await readFile(join(here, "index.html"), "utf8"))
  .replace("page.js", `/${named(".js")}`)
  .replace("page.css", `/${named(".css")}`);
await writeFile(join(out, "index.html"), html);
for (const asset of await readdir(join(here, "public"))) {
  await writeFile(join(out, asset), await readFile(join(here, "public", asset)));
}

// The service worker is told what to keep for hours without a server, and one name for that set as a whole.
const kept = ["/", ...(await readdir(out)).filter((name) => name !== "index.html").map((name) => `/${name}`)];
await build({
  ...shared,
  entryPoints: { "service-worker": "worker/service-worker.ts" },
  outdir: out,
  define: { KEPT: JSON.stringify(kept), KEPT_NAME: JSON.stringify(`windrode ${names.toSorted().join(" ")}`) },
});
