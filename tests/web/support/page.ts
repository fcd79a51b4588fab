/** A `voltsill serve` of its own in a temporary folder, and a browser on it. */
import { spawn, type ChildProcess } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before } from "node:test";
import { chromium, type Browser, type BrowserContext, type Page } from "playwright-core";

export const examples = process.env.VOLTSILL_EXAMPLES!;
const program = process.env.VOLTSILL_PROGRAM!;
/** ms until something that should come is missed: long, for these walks also run where many share a processor. */
export const patience = 90000;
const quiet = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--js-flags=--expose-gc",
];

export class Served {
    readonly folder = mkdtempSync(join(tmpdir(), "voltsill-page-"));
    url = "";
    private server: ChildProcess | null = null;

    constructor(...files: string[]) {
        for (const file of files) cpSync(join(examples, file), join(this.folder, file));
    }
    async start(port = 0) {
        this.server = spawn(program, ["serve", this.folder, "--port", String(port), "--json"], {
            stdio: ["ignore", "pipe", "inherit"],
        });
        const line = await new Promise<string>((ready, failed) => {
            this.server!.stdout!.once("data", (data: Buffer) => ready(data.toString()));
            this.server!.once("exit", (code) => failed(new Error(`voltsill serve ended with ${code}`)));
        });
        this.url = (JSON.parse(line) as { url: string }).url;
    }
    async stop() {
        const server = this.server;
        if (!server || server.exitCode !== null) return;
        const ended = new Promise((done) => server.once("exit", done));
        server.kill("SIGTERM");
        await ended;
    }
    /** A notice of an earlier save may still be there: what counts is the disk. */
    saved = (file: string, words: RegExp) =>
        until(`${file} on the disk has ${words}`, () => words.test(this.text(file)));
    text(file: string): string {
        return readFileSync(join(this.folder, file), "utf8");
    }
    async end() {
        await this.stop();
        rmSync(this.folder, { recursive: true, force: true });
    }
}

export interface Seen {
    page: Page;
    context: BrowserContext;
    complaints: string[];
}

export class Chromium {
    private constructor(private readonly browser: Browser) {}
    static async start() {
        return new Chromium(
            await chromium.launch({
                executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
                headless: true,
                args: quiet,
            }),
        );
    }
    /** A fresh profile; whatever the console complains of is kept. */
    async open(url: string, options: { width?: number; height?: number; dark?: boolean } = {}): Promise<Seen> {
        const context = await this.browser.newContext({
            viewport: { width: options.width ?? 1440, height: options.height ?? 900 },
            colorScheme: options.dark ? "dark" : "light",
            reducedMotion: "reduce",
            acceptDownloads: true,
        });
        context.setDefaultTimeout(patience);
        const seen: Seen = { page: await context.newPage(), context, complaints: [] };
        watch(seen.page, seen.complaints);
        await seen.page.goto(url);
        return seen;
    }
    end = () => this.browser.close();
}

/** What a walk has: a server of these examples, a browser, and the page of it that was opened first. */
export class Visit {
    served!: Served;
    browser!: Chromium;
    seen!: Seen;
    /** Another page of the same server, in a profile of its own. */
    open = (options?: Parameters<Chromium["open"]>[1]) => this.browser.open(this.served.url, options);
}

/** There from before the first test of a file until after its last; `first` is done on the page that is opened. */
export function visiting(files: string[], first: (page: Page) => Promise<void> = async () => undefined): Visit {
    const visit = new Visit();
    before(async () => {
        visit.served = new Served(...files);
        await visit.served.start();
        visit.browser = await Chromium.start();
        visit.seen = await visit.open();
        await first(visit.seen.page);
    });
    after(async () => {
        await visit.browser?.end();
        await visit.served?.end();
    });
    return visit;
}

export function watch(page: Page, complaints: string[]) {
    page.on("console", (m) => {
        if (m.type() === "error" || m.type() === "warning") complaints.push(m.text());
    });
    page.on("pageerror", (e) => complaints.push(e.message));
}

/** Asks again and again until it is so. */
export async function until(what: string, so: () => boolean | Promise<boolean>) {
    for (const end = Date.now() + patience; !(await so()); await new Promise((done) => setTimeout(done, 50)))
        if (Date.now() > end) throw new Error(`still waiting: ${what}`);
}

/** Waits until the verdict belongs to the text and plan and drawings have come. */
export async function settled(page: Page) {
    const still = () =>
        page.evaluate(() =>
            [...document.querySelectorAll(".overall.older, progress, main .older")].map((e) =>
                e.outerHTML.slice(0, 80),
            ),
        );
    const until = Date.now() + patience;
    let at_rest = 0;
    while (at_rest < 2) {
        // twice in a row: between two answers nothing runs for a moment
        const [left, there] = [await still(), await page.locator(".overall").count()];
        at_rest = left.length === 0 && there > 0 ? at_rest + 1 : 0;
        if (Date.now() > until) {
            const said = await page.locator(".problems, .trouble").allInnerTexts();
            throw new Error(`still waiting for ${left.join(", ")}; ${said.join("; ")}`);
        }
        await page.waitForTimeout(60);
    }
}
export async function open_example(page: Page, title: string) {
    await page.getByRole("button", { name: `Start from it: ${title}` }).click();
    await page.locator("main h1", { hasText: title }).waitFor();
}
export async function open_file(page: Page, file: string) {
    await page.getByRole("button", { name: `Open ${file}` }).click();
    await page.locator(".name", { hasText: file }).waitFor();
    await page.locator(".overall").waitFor();
}
export const go = async (page: Page, hash: string) => {
    await page.evaluate((h) => {
        location.hash = h;
    }, hash);
};
/** Puts the cursor behind words of the text by the editor's own search; "\\n" is a line's end. */
export async function cursor_after(page: Page, words: string) {
    await page.locator(".cm-content").focus();
    await page.keyboard.press("Control+Home");
    await page.keyboard.press("Control+f");
    await page.locator(".cm-search input[name=search]").focus();
    await page.keyboard.press("Control+a");
    await page.keyboard.type(words);
    await page.keyboard.press("Enter");
    await page.keyboard.press("Escape");
    await page.keyboard.press("ArrowRight");
}
