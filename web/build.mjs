// Bundles the page and writes it as the C++ source of src/server/assets.h.
//   node build.mjs FOLDER [OUTPUT.cpp]   FOLDER gets the files, OUTPUT.cpp the table of them
import { build } from "esbuild";
import { mkdir, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { dirname, extname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const [folder, source] = process.argv.slice(2);
if (!folder) throw new Error("usage: node build.mjs FOLDER [OUTPUT.cpp]");

const types = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
};

/** The pages with script and style of each: the maker's, the learners', the instructor's. */
const pages = {
    "index.html": { script: "src/main.tsx", style: "style/page.css" },
    "class.html": { script: "src/class/main.tsx", style: "style/hall_page.css" },
    "instructor.html": { script: "src/instructor/main.tsx", style: "style/hall_page.css" },
};

async function bundle() {
    await rm(folder, { recursive: true, force: true });
    await mkdir(folder, { recursive: true });
    const outputs = {};
    const pack = async (target, entryPoints) =>
        Object.assign(
            outputs,
            (
                await build({
                    absWorkingDir: here,
                    entryPoints,
                    loader: { ".svg": "copy" },
                    outdir: join(folder, "assets"),
                    entryNames: "[name]-[hash]",
                    bundle: true,
                    minify: true,
                    format: "esm",
                    target,
                    jsx: "automatic",
                    jsxImportSource: "preact",
                    legalComments: "none",
                    metafile: true,
                    logLevel: "warning",
                })
            ).metafile.outputs,
        );
    await pack("es2022", { page: "src/main.tsx", style: "style/page.css", sign: "style/sign.svg" });
    // Learners bring the phones they have.
    await pack("es2018", {
        class: "src/class/main.tsx",
        instructor: "src/instructor/main.tsx",
        hall: "style/hall_page.css",
    });
    const name = (entry) => {
        const found = Object.entries(outputs).find(([, o]) => o.entryPoint === entry);
        return `/assets/${found[0].split("/").pop()}`;
    };
    for (const [page, { script, style }] of Object.entries(pages)) {
        const text = (await readFile(join(here, page), "utf8"))
            .replace("{{script}}", name(script))
            .replace("{{style}}", name(style))
            .replace("{{icon}}", name("style/sign.svg"));
        await writeFile(join(folder, page), text);
    }
}

/** A C++ string literal: what is not plain ASCII as three octal digits, which end by themselves. */
function literal(bytes) {
    const rows = [];
    for (let at = 0; at < bytes.length; at += 4096) {
        let row = "";
        for (const byte of bytes.subarray(at, at + 4096)) {
            const plain = byte >= 32 && byte < 127 && byte !== 34 && byte !== 92 && byte !== 63;
            row += plain ? String.fromCharCode(byte) : `\\${byte.toString(8).padStart(3, "0")}`;
        }
        rows.push(`"${row}"`);
    }
    return rows.join("\n") || '""';
}

async function embed() {
    const files = [...Object.keys(pages), ...(await readdir(join(folder, "assets"))).sort().map((f) => `assets/${f}`)];
    const rows = await Promise.all(
        files.map(async (path) => {
            const bytes = await readFile(join(folder, path));
            const content = `{${literal(bytes)}, ${bytes.length}}`;
            return `    {"${path}", "${types[extname(path)]}", ${content}, ${!(path in pages)}},\n`;
        }),
    );
    await writeFile(
        source,
        `#include "server/assets.h"

namespace voltsill {

std::span<const Asset> voltsill_assets() {
  static constexpr Asset files[] = {
${rows.join("")}  };
  return files;
}

}  // namespace voltsill
`,
    );
}

await bundle();
if (source) await embed();
