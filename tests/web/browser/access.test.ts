import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import type { Page } from "playwright-core";
import { too_wide, violations } from "../support/axe";
import { cursor_after, go, open_file, settled, visiting } from "../support/page";

const visit = visiting(["rain-garden.toml", "unknown-module.toml"]);

/** Pictures of every view go here when somebody wants to look at them. */
const pictures = process.env.VOLTSILL_PICTURES;
async function picture(page: Page, name: string) {
    if (!pictures) return;
    mkdirSync(pictures, { recursive: true });
    await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}

/** Every view, by its name, and how one comes there. */
const views: [string, (page: Page) => Promise<void>][] = [
    ["start", async () => undefined],
    ["bench", async (page) => open_file(page, "rain-garden.toml")],
    ["link", (page) => go(page, "#/link/tank%20echo")],
    [
        "waveform",
        async (page) => {
            await page.getByRole("button", { name: "Follow the signal" }).click();
            await page.locator("section[aria-labelledby=waveform] svg").waitFor();
        },
    ],
    ["text", (page) => go(page, "#/text")],
    [
        "wiring",
        async (page) => {
            await go(page, "#/wiring");
            await page.locator(".board svg").first().waitFor();
            await page.getByRole("button", { name: "Begin" }).click();
        },
    ],
    [
        "fault",
        async (page) => {
            await go(page, "#/fault");
            await page.locator(".next").waitFor();
            await page.getByRole("checkbox", { name: "works when touched" }).check();
            await page.locator("ol.entries > li").waitFor();
            await page.locator(".next summary, details > summary").first().click();
            await page.getByText("Readings as a file").click();
        },
    ],
    [
        "hints",
        async (page) => {
            await settled(page);
            await page.getByLabel("A learner searches").check();
            await page.getByRole("button", { name: "Give me a question" }).click();
            await page.getByRole("button", { name: "Show me the reading" }).click();
        },
    ],
    [
        "sheets",
        async (page) => {
            await go(page, "#/sheets");
            await page.locator("iframe.sheet").waitFor();
        },
    ],
    [
        "parts",
        async (page) => {
            await go(page, "#/parts");
            await page.getByRole("link", { name: "LVC 245" }).waitFor();
        },
    ],
    [
        "part",
        async (page) => {
            await go(page, "#/parts/LVC%20245");
            await page.locator("table.figures").first().waitFor();
        },
    ],
    [
        "search",
        async (page) => {
            await go(page, "#/bench");
            await page.getByRole("button", { name: "Add a part" }).click();
            await page.getByLabel("What is it?").fill("open collector");
            await page.locator("[role=option]").first().click();
            await page.locator(".chosen-part").waitFor();
        },
    ],
    [
        "join",
        async (page) => {
            await page.getByRole("button", { name: "Close" }).first().click();
            await page.getByRole("button", { name: "Join two pins" }).click();
        },
    ],
    [
        "rail",
        async (page) => {
            await page.getByRole("button", { name: "Close" }).first().click();
            await page.getByRole("button", { name: "Change rail usb" }).click();
        },
    ],
    [
        "unknown",
        async (page) => {
            await page.getByRole("button", { name: "Close" }).first().click();
            await go(page, "#/");
            await open_file(page, "unknown-module.toml");
            await go(page, "#/link/command");
        },
    ],
    [
        "mistake",
        async (page) => {
            await go(page, "#/bench");
            if (await page.locator(".text").isHidden()) await go(page, "#/text");
            await cursor_after(page, "\\n[rails");
            await page.keyboard.type("x");
            await go(page, "#/bench");
            await page.locator(".problems").waitFor();
        },
    ],
];

async function walk(name: string, options: { width: number; height: number; dark: boolean }, axe_too: boolean) {
    const { page, context } = await visit.open(options);
    const found: string[] = [];
    for (const [view, come] of views) {
        await come(page);
        if (view !== "start" && !view.startsWith("part") && view !== "mistake") await settled(page);
        await picture(page, `${view}-${name}`);
        const wide = await too_wide(page);
        if (wide > 0) found.push(`${view} is ${wide} px too wide`);
        if (!axe_too) continue;
        found.push(...(await violations(page)).map((v) => `${view}: ${v}`));
    }
    await context.close();
    assert.deepEqual(found, []);
}

/** Width, height, dark paper, with axe; the others are walked when somebody wants to look at them. */
const papers: [number, number, boolean, boolean][] = [
    [1440, 900, false, true],
    [1440, 900, true, true],
    [360, 740, false, true],
    [360, 740, true, false],
    [800, 1000, false, false],
    [800, 1000, true, false],
];
for (const [width, height, dark, axe_too] of papers.filter(([, , , always]) => always || pictures)) {
    const paper = dark ? "dark" : "light";
    const held = axe_too ? "nothing cut off, no violation found by axe" : "nothing cut off";
    test(`every view on ${paper} paper at ${width} px: ${held}`, () =>
        walk(`${width}-${paper}`, { width, height, dark }, axe_too));
}

test("the switch of colours holds against the system's wish, drawings included", async () => {
    const { page, context } = await visit.open({ dark: true });
    const paper = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    assert.equal(await paper(), "rgb(23, 27, 33)");
    await page.getByLabel("Colours").selectOption("light");
    assert.equal(await paper(), "rgb(251, 250, 245)");
    await page.reload();
    await page.getByRole("heading", { level: 1 }).waitFor();
    assert.equal(await paper(), "rgb(251, 250, 245)");
    await page.getByLabel("Colours").selectOption("auto");
    assert.equal(await paper(), "rgb(23, 27, 33)");
    await context.close();
});

test("text at 200 % (WCAG 2.2, 1.4.4), on a phone too: of what may be wrong nothing is cut or overlaps", async () => {
    const { page, context } = await visit.open({ width: 390, height: 844 });
    await open_file(page, "rain-garden.toml");
    await go(page, "#/fault");
    await page.getByRole("checkbox", { name: "fails", exact: true }).check();
    await page.locator(".suspects > li").nth(3).waitFor();
    for (const width of [390, 1280]) {
        await page.setViewportSize({ width, height: 844 });
        await page.evaluate(() => {
            document.documentElement.style.fontSize = "200%";
            document.querySelectorAll<HTMLDetailsElement>("main details").forEach((d) => {
                d.open = true;
            });
        });
        assert.equal(await too_wide(page), 0, `at ${width} px`);
        const overlapping = await page.evaluate(
            () =>
                [...document.querySelectorAll(".suspects > li")].filter((li) => {
                    const [share, words] = [
                        li.querySelector(".bar")!.getBoundingClientRect(),
                        li.lastElementChild!.getBoundingClientRect(),
                    ];
                    return share.right > words.left && share.bottom > words.top + 1;
                }).length,
        );
        assert.equal(overlapping, 0, `at ${width} px`);
    }
    await context.close();
});

test("targets of a pointer are 24 px or more (WCAG 2.2, 2.5.8), on the densest view", async () => {
    const { page, context } = await visit.open({ width: 360, height: 740 });
    await open_file(page, "rain-garden.toml");
    await settled(page);
    const small = await page.evaluate(() =>
        [...document.querySelectorAll("button, select, input, summary, .top a")]
            .map((e) => ({ e, box: e.getBoundingClientRect() }))
            .filter(({ box }) => box.width > 0 && (box.height < 24 || box.width < 24))
            .map(({ e, box }) => `${e.outerHTML.slice(0, 80)} ${box.width} x ${box.height}`),
    );
    assert.deepEqual(small, []);
    await context.close();
});
