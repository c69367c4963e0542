// Builds the page into a folder: one script for what every page needs, one for each page, the style, index.html.
// All names but index.html carry a hash of what is in them. Usage: node build.mjs FOLDER
import * as esbuild from "esbuild";
import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { basename, dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2] && resolve(process.argv[2]);
if (!out) {
  console.error("build.mjs: give the folder to build into");
  process.exit(2);
}
await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });

const onEveryPage = {
  name: "on every page",
  setup: (build) =>
    build.onLoad({ filter: /src\/(?:app|pages\/\w+)\.ts$/ }, async ({ path }) => {
      const from = path.endsWith("app.ts") ? "." : "..";
      return { contents: `import "${from}/every_page";${await readFile(path, "utf8")}`, loader: "ts" }; // on the same line: places in the source stay
    }),
};

const result = await esbuild.build({
  absWorkingDir: here,
  entryPoints: { app: "src/app.ts", look: "src/look/look.css" },
  outdir: out,
  entryNames: "[name]-[hash]",
  chunkNames: "[name]-[hash]",
  assetNames: "[name]-[hash]",
  bundle: true,
  splitting: true,
  format: "esm",
  target: "es2021",
  minify: true,
  legalComments: "none",
  metafile: true,
  plugins: [onEveryPage],
  logLevel: "warning",
});

const built = Object.entries(result.metafile.outputs);
const outputOf = (entry) => built.find(([, output]) => output.entryPoint === entry)[0];
const of = (entry) => basename(outputOf(entry));
// What the first page needs is asked for at once, not one after the other as it is found.
const first = new Set();
function needs(file) {
  if (first.has(file)) return;
  first.add(file);
  for (const one of result.metafile.outputs[file].imports) if (one.kind === "import-statement") needs(one.path);
}
needs(outputOf("src/app.ts"));
needs(outputOf("src/pages/live.ts"));
const preloads = [...first].map((file) => `<link rel="modulepreload" href="/${basename(file)}">`).join("\n    ");
const html = await readFile(join(here, "index.html"), "utf8");
await writeFile(
  join(out, "index.html"),
  html.replace("{{style}}", `/${of("src/look/look.css")}`).replace("{{script}}", `/${of("src/app.ts")}`).replace("{{preloads}}", preloads),
);
await writeFile(join(out, "mark.svg"), await readFile(join(here, "src/look/mark.svg")));
