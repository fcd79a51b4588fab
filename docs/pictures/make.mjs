// Makes the pictures of docs/manual.md anew: documents printed by the program, and the page it serves, as a browser
// shows them.
//   node docs/pictures/make.mjs build/voltsill      (needs web/node_modules, which the build makes, and Chromium)
import { spawn, spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, "../..");
const { chromium } = createRequire(join(root, "web/package.json"))("playwright-core");
const program = resolve(process.argv[2] ?? join(root, "build/voltsill"));
const folder = mkdtempSync(join(tmpdir(), "voltsill-pictures-"));
const passphrase = "a passphrase of these pictures";

const make = (...words) => {
    const done = spawnSync(program, words, { cwd: folder, encoding: "utf8" });
    if (done.status > 1) throw new Error(`voltsill ${words.join(" ")}:\n${done.stderr}`);
    return done.stdout;
};
async function served(words, env = {}) {
    const server = spawn(program, ["serve", ...words, "--port", "0", "--json"], {
        cwd: folder,
        env: { ...process.env, ...env },
        stdio: ["ignore", "pipe", "inherit"],
    });
    const line = await new Promise((ready, failed) => {
        server.stdout.once("data", (data) => ready(data.toString()));
        server.once("exit", (code) => failed(new Error(`serve ended with ${code}`)));
    });
    return {
        url: JSON.parse(line).url,
        end: () =>
            new Promise((done) => {
                server.once("exit", done);
                server.kill("SIGTERM");
            }),
    };
}

const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu"],
});
async function page_of(url, width, height, scale = 1) {
    const context = await browser.newContext({
        viewport: { width, height },
        deviceScaleFactor: scale,
        colorScheme: "light",
        reducedMotion: "reduce",
    });
    const page = await context.newPage();
    page.setDefaultTimeout(60000);
    await page.goto(url);
    return page;
}
const kept = (name) => ({ path: join(here, `${name}.png`) });
const quiet = async (page) => {
    // nothing is on its way any more
    for (let still = 0; still < 3;) {
        still = (await page.locator("progress, main .older").count()) === 0 ? still + 1 : 0;
        await page.waitForTimeout(150);
    }
};

for (const file of ["first-bench.toml", "rain-garden.toml"]) cpSync(join(root, "examples", file), join(folder, file));

// Documents
make("plan", "first-bench.toml", "--out", "plan");
make("sheets", "first-bench.toml", "--out", "sheets");
make("trace", "plan/wired.toml", "--samples", "256", "--out", "trace");
const paper = await page_of(`file://${folder}/plan/report.html`, 900, 700);
await paper.locator("figure").first().screenshot(kept("levels"));
await paper.goto(`file://${folder}/sheets/build.html`);
await paper.locator("h2#tie-points ~ figure").first().screenshot(kept("boards"));
await paper.goto(`file://${folder}/sheets/test.html`);
await paper.locator("h2", { hasText: "Static levels" }).evaluate((h) => h.scrollIntoView());
await paper.screenshot(kept("checks"));
await paper.goto(`file://${folder}/trace/trace.html`);
await paper.locator("figure").first().screenshot(kept("waves"));

// The page, and a fault on it
const pages = await served(["."]);
const page = await page_of(pages.url, 1280, 860);
await page.getByRole("button", { name: "Open rain-garden.toml" }).click();
await page.locator(".overall").waitFor();
await quiet(page);
await page.screenshot(kept("page"));
const search = await page_of(pages.url, 1280, 860);
await search.getByRole("button", { name: "Open first-bench.toml" }).click();
await search.locator(".overall").waitFor();
await search.getByRole("button", { name: "Text beside" }).click();
await search.getByRole("link", { name: "Find the fault", exact: true }).click();
await search.locator(".next").waitFor();
await search.getByRole("checkbox", { name: "fails", exact: true }).check();
await quiet(search);
await search.locator("#next").scrollIntoViewIfNeeded();
await search.screenshot(kept("fault"));
await pages.end();

// The hall of a class: the instructor's room and a learner's phone
writeFileSync(join(folder, "passphrase"), `${passphrase}\n`);
const hall = await served([
    "first-bench.toml",
    "--class",
    "--store",
    join(folder, "class.sqlite"),
    "--passphrase-file",
    "passphrase",
]);
const room = await page_of(`${hall.url}instructor`, 1280, 720);
await room.getByLabel("Passphrase").fill(passphrase);
await room.getByRole("button", { name: "Sign in" }).click();
await room.getByRole("link", { name: "Join", exact: true }).click();
const code = await room.locator(".code").innerText();
for (const name of ["Ada", "Bo"]) {
    const phone = await page_of(`${hall.url}class#${code}`, 360, 740);
    await phone.getByLabel("Nickname").fill(name);
    await phone.getByRole("button", { name: "Join" }).click();
    await phone.locator("details.phase").first().waitFor();
    if (name === "Ada") await phone.screenshot(kept("learner"));
}
await room.getByRole("link", { name: "Room", exact: true }).click();
await room.getByRole("rowheader", { name: "Bo", exact: true }).waitFor();
await room.screenshot(kept("room"));
await hall.end();

await browser.close();
rmSync(folder, { recursive: true });
