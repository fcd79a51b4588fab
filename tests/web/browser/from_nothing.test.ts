import assert from "node:assert/strict";
import { test } from "node:test";
import type { Page } from "playwright-core";
import { settled, until, visiting } from "../support/page";

const visit = visiting([]);

const press = (page: Page, ...keys: string[]) =>
    keys.reduce((p, key) => p.then(() => page.keyboard.press(key)), Promise.resolve());

/** Tab until the focus is on what bears this name; fails when a whole round does not come by it. */
async function tab_to(page: Page, name: RegExp, most = 250) {
    for (let i = 0; i < most; ++i) {
        const here = await page.evaluate(() => {
            const e = document.activeElement;
            if (!e || e === document.body) return null;
            const label =
                e instanceof HTMLInputElement || e instanceof HTMLSelectElement
                    ? (e.labels?.[0]?.textContent ?? "")
                    : "";
            const box = e.getBoundingClientRect();
            const shown = box.bottom > 0 && box.top < innerHeight && getComputedStyle(e).outlineStyle !== "none";
            return {
                shown,
                words: `${e.getAttribute("aria-label") ?? ""}${label}${e.textContent ?? ""}`,
                box: [box.top, box.bottom],
            };
        });
        if (here && name.test(here.words))
            return assert.ok(here.shown, `the focus on ${name} is seen, at ${here.box.join("..")}`);
        await page.keyboard.press("Tab");
    }
    assert.fail(`Tab does not come to ${name}`);
}

/** Down the list under the focus, which may still be filling. */
async function arrow_to(page: Page, words: RegExp) {
    await until(`${words} is chosen`, async () => {
        const chosen = await page.evaluate(
            () => document.activeElement?.closest(".listbox")?.querySelector("[aria-selected=true]")?.textContent ?? "",
        );
        if (!words.test(chosen)) await press(page, "ArrowDown");
        return words.test(chosen);
    });
}

async function add_part(page: Page, words: string, type: RegExp, name: string) {
    await tab_to(page, /^Add a part/);
    await press(page, "Enter");
    await page.keyboard.type(words);
    await page.locator("[role=listbox][aria-busy=false] [role=option]", { hasText: type }).first().waitFor();
    await arrow_to(page, type);
    await page.locator(".chosen-part").waitFor();
    await tab_to(page, /^Name on this bench/);
    await press(page, "Control+a");
    await page.keyboard.type(name);
    await press(page, "Enter");
    await page.locator("dialog").waitFor({ state: "detached" });
    await page.locator(".ruled strong", { hasText: name }).waitFor();
}

async function choose_pin(page: Page, list: RegExp, pin: string) {
    await tab_to(page, list);
    await page.keyboard.type(pin);
    await arrow_to(page, new RegExp(pin.split(" ")[1]!));
}

test("by keyboard alone: a bench from nothing with a rail, parts found by what they are, and a link", async () => {
    const { page } = visit.seen;
    await page.getByRole("heading", { level: 1 }).waitFor();
    await press(page, "Tab");
    assert.equal(await page.evaluate(() => document.activeElement?.className), "skip");
    await tab_to(page, /^An empty bench/);
    await press(page, "Enter");
    await page.getByRole("heading", { level: 1, name: "Bench" }).waitFor();
    await tab_to(page, /^Add a rail/);
    await press(page, "Enter");
    await page.locator("dialog").waitFor();
    await press(page, "Enter");
    await page.locator(".ruled strong", { hasText: "usb" }).waitFor();
    await add_part(page, "controller 3.3 V", /^controller-3v3/, "controller");
    await add_part(page, "open collector sensor with pull-up to 5 V", /open.collector/, "sensor");
    await tab_to(page, /^Join two pins/);
    await press(page, "Enter");
    await choose_pin(page, /^Find a pin \(from\)/, "sensor 1OUT");
    await choose_pin(page, /^Find a pin \(to\)/, "controller D2");
    await tab_to(page, /^Name of the link/);
    await press(page, "Control+a");
    await page.keyboard.type("rain");
    await press(page, "Enter");
    await page.getByRole("rowheader", { name: "rain" }).waitFor();
    await settled(page);
    assert.match(await page.locator("table.links tbody tr").innerText(), /harmful|safe|thin|unknown|unreadable/);
    assert.match(await page.locator(".overall").innerText(), /link/);
});

test("undo takes back each step with its word, redo brings it again", async () => {
    const { page } = visit.seen;
    const undo = page.getByRole("button", { name: /^Undo/ });
    for (const word of ["join rain", "add part sensor", "add part controller", "add rail usb"]) {
        await page.getByRole("button", { name: `Undo: ${word}`, exact: true }).click();
    }
    await until("nothing is left to undo", () => undo.isDisabled());
    assert.equal(
        await page
            .locator(".cm-content")
            .innerText()
            .then((t) => t.includes("controller")),
        false,
    );
    for (let i = 0; i < 4; ++i) await page.getByRole("button", { name: /^Redo/ }).click();
    await page.getByRole("rowheader", { name: "rain" }).waitFor();
});

test("it is saved under a name, and what is on the disk is the text", async () => {
    const { page } = visit.seen;
    await press(page, "Control+s");
    await page.getByLabel(/File name/).fill("rain.toml");
    await press(page, "Enter");
    await page.getByText("Saved to rain.toml").waitFor();
    await visit.served.saved("rain.toml", /name\s*=\s*"rain"/);
});

test("pins are joined by mouse too: press one, then the other", async () => {
    const { page } = visit.seen;
    await page.getByRole("button", { name: /^D3 of controller/ }).click();
    await page.getByText("press the pin it goes to").waitFor();
    await page.locator(".pins button", { hasText: "of sensor" }).first().click();
    await page.getByRole("button", { name: "Join the pins" }).click();
    await page.waitForFunction(() => document.querySelectorAll("table.links tbody tr").length === 2);
    await page.getByRole("button", { name: /^Undo: join/ }).click();
    await page.waitForFunction(() => document.querySelectorAll("table.links tbody tr").length === 1);
});

test("nothing was complained of in the console", () => {
    assert.deepEqual([...new Set(visit.seen.complaints)].slice(0, 5), []);
});
