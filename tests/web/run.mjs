// Bundles the tests and runs them with node's own runner.
//   node run.mjs unit|browser|timing[/NAME] WEB OUT [PROGRAM]      (NAME: that file alone)
import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const [which, web, out, program = ""] = process.argv.slice(2);
const [kind, only] = which.split("/");
const { buildSync } = createRequire(join(web, "package.json"))("esbuild");

const names = readdirSync(join(here, kind)).filter((f) => (only ? f === `${only}.test.ts` : f.endsWith(".test.ts")));
buildSync({
    entryPoints: names.map((f) => join(here, kind, f)),
    outdir: join(out, kind),
    outExtension: { ".js": ".cjs" },
    bundle: true,
    platform: "node",
    format: "cjs",
    target: "node18",
    external: ["playwright-core", "axe-core"],
    tsconfig: join(web, "tsconfig.json"),
    nodePaths: [join(web, "node_modules")],
    alias: { "@page": join(web, "src") },
    logLevel: "warning",
});
const files = names.map((f) => join(out, kind, f.replace(/\.ts$/, ".cjs")));
const run = spawnSync(process.execPath, ["--test", "--test-concurrency=1", ...files], {
    stdio: "inherit",
    env: {
        ...process.env,
        NODE_PATH: join(web, "node_modules"),
        VOLTSILL_PROGRAM: program,
        VOLTSILL_EXAMPLES: join(web, "../examples"),
    },
});
process.exit(run.status ?? 1);
