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

const focused = (page: Page) =>
    page.evaluate(() => (document.activeElement === document.body ? "" : (document.activeElement?.textContent ?? "")));

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
    await until("the head says that nothing is joined", async () =>
        /Nothing is joined yet/.test(await page.locator(".overall").innerText()),
    );
    assert.match(await focused(page), /^(Change|open-collector)/, "the keyboard is at the part that was made");
    await tab_to(page, /^Join two pins/);
    await press(page, "Enter");
    await choose_pin(page, /^Find a pin \(from\)/, "sensor OUT");
    await choose_pin(page, /^Find a pin \(to\)/, "controller D2");
    await tab_to(page, /^Name of the link/);
    await press(page, "Control+a");
    await page.keyboard.type("rain");
    await press(page, "Enter");
    await page.getByRole("rowheader", { name: "rain" }).waitFor();
    await until("the keyboard is at the link that was made", async () => (await focused(page)) === "rain");
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

test("what cannot be read keeps its form open, with the sentence beside the field and the text as it was", async () => {
    const { page } = visit.seen;
    await page.getByRole("button", { name: "Add a rail" }).click();
    const volts = page.getByLabel("Voltage");
    await page.getByLabel("Name", { exact: true }).fill("logic");
    const text = await page.locator(".cm-content").innerText();
    for (const [typed, sentence] of [
        ["5", /has no unit/],
        ["3,3 V", /comma/],
    ] as const) {
        await volts.fill(typed);
        await press(page, "Enter");
        await page.locator("dialog .field .trouble", { hasText: sentence }).waitFor();
        assert.equal(await volts.inputValue(), typed);
        assert.equal(await volts.getAttribute("aria-invalid"), "true");
        assert.equal(await page.locator(".cm-content").innerText(), text);
    }
    await volts.fill("3.3 V ± 3 %");
    await press(page, "Enter");
    await page.locator("dialog").waitFor({ state: "detached" });
    await page.locator(".ruled strong", { hasText: "logic" }).waitFor();
    await until("the keyboard is at the rail", async () => (await focused(page)) === "Change rail logic");
});

test("pins that were pressed the wrong way round are joined with the driver first", async () => {
    const { page } = visit.seen;
    await page.getByRole("button", { name: "Add a part" }).click();
    await page.getByLabel("What is it?").fill("push-button");
    await page.getByRole("option", { name: /^push-button/ }).click();
    await page.getByLabel("Name on this bench").fill("push");
    await page.getByRole("button", { name: "Add the part" }).click();
    await page.getByRole("button", { name: /^D5 of controller/ }).click();
    await page.getByRole("button", { name: /^OUT of push/ }).click();
    await page.getByText(/push\.OUT drives and controller\.D5 reads/).waitFor();
    await page.getByLabel("Name of the link").fill("pressed");
    await page.getByRole("button", { name: "Join the pins" }).click();
    await page.getByRole("rowheader", { name: "pressed" }).waitFor();
    assert.equal(await page.getByText("The text cannot be read yet").count(), 0);
    assert.match(await page.locator(".cm-content").innerText(), /from\s*=\s*"push\.OUT"/);
});

test("what the catalogue does not have is described, and a supply is called a rail", async () => {
    const { page } = visit.seen;
    await page.getByRole("button", { name: "Add a part" }).click();
    await page.getByLabel("What is it?").fill("12 V");
    await page.getByText("A supply is a rail").waitFor();
    await page.getByLabel("What is it?").fill("servo");
    await page.getByText(/Nothing found/).waitFor();
    await page.getByRole("button", { name: "Describe a module of your own" }).click();
    assert.equal(await page.getByLabel("Name on this bench").inputValue(), "servo");
    await page.getByLabel("Name of the pin").fill("SIG");
    await page.getByLabel("What that pin is").selectOption("TTL input, 5 V");
    await page.getByRole("button", { name: "Add a signal pin" }).click();
    const second = page.getByRole("group", { name: "Signal pin 2" });
    await second.getByLabel("Name of the pin").fill("sig");
    await page.getByRole("button", { name: "Add the module" }).click();
    await second.getByText("Pin 1 has this name already").waitFor();
    await second.getByLabel("Name of the pin").fill("BACK");
    await second.getByLabel("What that pin is").selectOption("push-pull output, 5 V");
    await page.getByRole("button", { name: "Add a signal pin" }).click();
    await page.getByRole("button", { name: /^Take this pin out.*3$/ }).click();
    assert.equal(await focused(page), "Add a signal pin");
    await page.getByRole("button", { name: "Add the module" }).click();
    await page.getByRole("button", { name: /^SIG of servo/ }).waitFor();
    await page.getByRole("button", { name: /^BACK of servo/ }).waitFor();
    await settled(page);
    assert.equal(await page.getByText("The text cannot be read yet").count(), 0);
    assert.match(await page.locator(".cm-content").innerText(), /like\s*=\s*"TTL input, 5 V"/);
});

test("the keyboard stays where it was when a row goes", async () => {
    const { page } = visit.seen;
    for (const name of ["Remove rail logic", "Remove link pressed", "Remove part servo"]) {
        await page.getByRole("button", { name, exact: true }).focus();
        await press(page, "Enter");
        await page.getByRole("button", { name, exact: true }).waitFor({ state: "detached" });
        assert.notEqual(await focused(page), "", name);
    }
});

test("nothing was complained of in the console", () => {
    assert.deepEqual([...new Set(visit.seen.complaints)].slice(0, 5), []);
});
