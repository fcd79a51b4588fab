/** One lesson of a class on the smallest bench: an instructor and three learners at once, a server that is killed in
 *  the middle, and every view looked at by axe. */
import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Page } from "playwright-core";
import { too_wide, violations } from "../support/axe";
import { Classroom, passphrase } from "../support/classroom";
import { Chromium, until, watch, type Seen } from "../support/page";

const phone = { width: 360, height: 740 };
let room: Classroom, browser: Chromium;
let instructor: Seen, ada: Seen, bo: Seen, cy: Seen;
before(async () => {
    room = new Classroom("first-bench.toml");
    await room.start();
    browser = await Chromium.start();
    instructor = await browser.open(`${room.url}instructor`, { width: 1280, height: 900 });
});
after(async () => {
    await browser.end();
    await room.end();
});

const view = (page: Page, title: string) => page.getByRole("link", { name: title, exact: true }).click();
const heading = (page: Page, name: string | RegExp) => page.getByRole("heading", { level: 1, name }).waitFor();
const row = (name: string) =>
    instructor.page.getByRole("row").filter({ has: instructor.page.getByRole("rowheader", { name, exact: true }) });
const press = (page: Page, name: string | RegExp) =>
    page.getByRole("button", { name, exact: typeof name === "string" }).click();
/** Waits until the text of an element says so. */
const says = (seen: Seen, selector: string, words: RegExp) =>
    until(`${selector} says ${words}`, async () =>
        words.test((await seen.page.locator(selector).allInnerTexts()).join("\n")),
    );
const row_says = (name: string, words: RegExp) =>
    until(`the row of ${name} says ${words}`, async () => words.test(await row(name).innerText()));
const check = (seen: Seen, what: string) =>
    seen.page
        .locator("li.check")
        .filter({ has: seen.page.locator(".what", { hasText: what }) })
        .first();
const gate = (seen: Seen, title: string) => seen.page.getByRole("region", { name: title });

async function read(seen: Seen, what: string, value: string, unit?: string) {
    if (unit) await check(seen, what).getByRole("combobox").selectOption(unit);
    await check(seen, what).getByRole("textbox").fill(value);
    await check(seen, what)
        .getByRole("button", { name: /^Enter/ })
        .click();
}
/** What the keyboard is at: the words of a control or of a place that a page has put it to. */
const at_focus = (seen: Seen, selector: string, words: RegExp) =>
    until(`the focus is in ${selector}, ${words}`, () =>
        seen.page.evaluate(
            ([s, w]) => {
                const there = document.activeElement?.closest(s!);
                return Boolean(there && new RegExp(w!).test((there as HTMLElement).innerText));
            },
            [selector, words.source],
        ),
    );
async function open_all(page: Page) {
    await page.locator("details.phase").first().waitFor(); // a quick machine asks before the view has changed
    await page.evaluate(() =>
        document.querySelectorAll<HTMLDetailsElement>("details.phase").forEach((d) => {
            d.open = true;
        }),
    );
}
async function sign_in() {
    await instructor.page.getByLabel("Passphrase").fill(passphrase);
    await press(instructor.page, "Sign in");
    await instructor.page.getByRole("link", { name: "Room", exact: true }).waitFor();
}

/** Pictures of every view go here when somebody wants to look at them. */
const pictures = process.env.VOLTSILL_PICTURES;
const found: string[] = [];
/** Light and dark, with axe and the width, at the size the page has. */
async function look(seen: Seen, name: string) {
    for (const colorScheme of ["light", "dark"] as const) {
        await seen.page.emulateMedia({ colorScheme });
        const wide = await too_wide(seen.page);
        if (wide > 0) found.push(`${name} is ${wide} px too wide`);
        found.push(...(await violations(seen.page)).map((v) => `${name}, ${colorScheme}: ${v}`));
        if (!pictures) continue;
        mkdirSync(pictures, { recursive: true });
        await seen.page.screenshot({ path: join(pictures, `hall-${name}-${colorScheme}.png`), fullPage: true });
    }
    await seen.page.emulateMedia({ colorScheme: "light" });
}

test("the instructor signs in by the passphrase, and sees that no phone gets here, and nothing besides", async () => {
    const { page } = instructor;
    await page.getByLabel("Passphrase").fill("not the passphrase");
    await press(page, "Sign in");
    await says(instructor, "main [role=status]", /not the passphrase/);
    await look(instructor, "sign-in");
    await sign_in();
    await says(instructor, ".notice", /no phone can join[^]*--bind/);
    assert.doesNotMatch(await page.locator(".notice").innerText(), /certificate|can read what is sent/);
    assert.match(await page.locator("main").innerText(), /Nobody has joined yet/);
});

test("three learners join: by the scanned address, by typing, and after a wrong code", async () => {
    await view(instructor.page, "Join");
    const code = await instructor.page.locator(".code").innerText();
    await says(instructor, ".wall", /On this machine alone, open/);
    assert.equal(
        await instructor.page.locator(".wall-code img").count(),
        0,
        "no camera is sent to where it cannot get",
    );
    ada = await browser.open(`${room.url}class#${code}`, phone);
    bo = await browser.open(`${room.url}`, phone);
    cy = await browser.open(`${room.url}class`, phone);
    await look(ada, "join");
    for (const [seen, name, typed] of [
        [ada, "Ada", null],
        [bo, "Bo", code.toLowerCase().replace("-", " ")],
        [cy, "Cy", "wrongcode"],
    ] as const) {
        if (typed !== null) await seen.page.getByLabel("Code of the room").fill(typed);
        await seen.page.getByLabel("Nickname").fill(name);
        await press(seen.page, "Join");
    }
    await says(cy, "main [role=status]", /Nobody can join with this code and nickname/);
    await cy.page.getByLabel("Code of the room").fill(code);
    await press(cy.page, "Join");
    for (const seen of [ada, bo, cy]) await heading(seen.page, "Steps");
    await says(instructor, ".wall", /3 joined: Ada, Bo, Cy/);
    await look(instructor, "wall");
    await view(instructor.page, "Room");
    for (const name of ["Ada", "Bo", "Cy"]) await row_says(name, /gate 1, power off[^]*here/);
});

test("steps: colours and holes by word; ticks reach the room and survive a reload", async () => {
    const { page } = ada;
    await page.getByLabel("Switch every supply off").check();
    await open_all(page);
    assert.match(
        await page.locator("li", { hasText: "Wire 2," }).first().innerText(),
        /Wire 2, black[^]*strip s, hole 5[^]*supply five 0 V/,
    );
    await page.getByLabel(/^Wire 2, black/).check();
    await page.locator("details.plan").evaluate((d: HTMLDetailsElement) => {
        d.open = true;
    });
    const in_hand = page.locator(".plan svg [data-wire].now").first();
    await in_hand.waitFor({ state: "attached" });
    assert.notEqual(await in_hand.getAttribute("data-wire"), "2");
    await look(ada, "steps");
    await row_says("Ada", /2 of 25/);
    await page.reload();
    await says(ada, "main", /2 of 25 done/);
});

test("gate 1: right readings one by one, then the instructor lets pass; later gates stay closed", async () => {
    await view(ada.page, "Checks");
    await heading(ada.page, "Checks");
    assert.equal(await gate(ada, "Gate 2: Limited power").getByRole("textbox").count(), 0);
    await says(ada, ".gate.closed", /opens after gate 1/);
    await press(ada.page, "open for rail five to ground");
    await says(ada, ".foot", /rail five to ground: open is right/);
    await at_focus(ada, "li.check", /^rail three to ground/);
    await read(ada, "rail three to ground", "22", "MΩ");
    await press(ada.page, "open for rail five to rail three");
    for (const what of [
        "sender.VCC to rail five",
        "sender.GND to ground",
        "receiver.VCC to rail three",
        "receiver.GND to ground",
        "U1.1 ",
        "U1.5 ",
    ])
        await read(ada, what, "0,4");
    await says(ada, ".advice", /All readings of this gate are right/);
    await at_focus(ada, ".all-right", /The instructor sees it/);
    await look(ada, "checks");
    await press(instructor.page, "Let pass gate 1 for Ada");
    await says(ada, ".foot[role=status]", /Gate 1 is passed\. Gate 2, limited power, is open/);
    await at_focus(ada, "h2", /^Gate 2: Limited power/);
    await says(instructor, ".foot", /Gate 1 is passed: Ada/);
    await at_focus(instructor, "h2", /^Waiting at a gate: nobody/);
    await says(ada, ".gate-line", /Gate 2 of 4: Limited power/);
    await row_says("Ada", /gate 2, limited power/);
});

test("a reading that is not right: no answer is given away, hints come one deeper than the other", async () => {
    await view(bo.page, "Checks");
    await read(bo, "sender.VCC to rail five", "banana");
    await says(bo, "li.check .trouble", /Write the number the meter shows/);
    await read(bo, "sender.VCC to rail five", "4k7");
    const item = check(bo, "sender.VCC to rail five");
    await item.getByText("✗ not right").waitFor();
    assert.doesNotMatch(await item.innerText(), /below 1 Ω/);
    assert.equal(await item.getByRole("button", { name: /^Hint/ }).count(), 1);
    for (const depth of [1, 2, 3]) {
        await item.getByRole("button", { name: new RegExp(`^Hint ${depth}`) }).click();
        await item.getByText(`Hint ${depth},`).waitFor();
        await at_focus(bo, ".hints .given", new RegExp(`^Hint ${depth},`));
        await says(bo, ".hints [role=status]", new RegExp(`Hint ${depth} for sender.VCC to rail five is here`));
    }
    await look(bo, "hints");
    await read(bo, "sender.VCC to rail five", "0.3 ohm");
    await item.getByText("✓ right").waitFor();
    await row_says("Bo", /1 right/);
    await at_focus(bo, "li.check", /^sender\.GND to ground/);
});

test("a gate of which something is missing is not passed before it was said what, by keyboard", async () => {
    const { page } = instructor;
    await read(bo, "sender.GND to ground", "12", "kΩ");
    await row_says("Bo", /1 right, 1 not/);
    const button = row("Bo").getByRole("button", { name: "Pass gate 1" });
    await button.focus();
    await page.keyboard.press("Enter");
    const dialog = page.getByRole("dialog", { name: "Let Bo pass gate 1?" });
    await dialog.waitFor();
    assert.match(
        await dialog.innerText(),
        /Not taken, 7 of 9: rail five to ground; [^]*Not right, 1 of 9: sender\.GND to ground/,
    );
    assert.match(await dialog.innerText(), /No step is ticked[^]*No build has been handed in/);
    await look(instructor, "pass");
    await page.setViewportSize({ width: 390, height: 844 });
    await look(instructor, "pass-390");
    await page.setViewportSize({ width: 1280, height: 900 });
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "detached" });
    await row_says("Bo", /gate 1, power off/);
    assert.ok(await button.evaluate((b) => b === document.activeElement), "the focus is where it was");
    await page.keyboard.press("Enter");
    await dialog.getByRole("button", { name: "Pass gate 1 all the same" }).press("Enter");
    await says(instructor, ".foot", /Gate 1 is passed: Bo/);
    await row_says("Bo", /gate 2, limited power/);
    await row("Bo").getByRole("link").click();
    await press(page, "Back to gate 1 for Bo");
    await view(page, "Room");
    await row_says("Bo", /gate 1, power off/);
});

test("help: asked for with a word, seen in the room, and given", async () => {
    await press(bo.page, "Ask for help");
    await bo.page.getByLabel(/What about/).fill("wire 14 does not reach");
    await press(bo.page, "Ask");
    await says(bo, ".help", /Help is wanted: wire 14/);
    const help = instructor.page.getByRole("region", { name: /Help is wanted by 1/ });
    await help.getByText("wire 14 does not reach").waitFor();
    await look(bo, "help");
    await press(instructor.page, "Helped for Bo");
    await bo.page.getByRole("button", { name: "Ask for help" }).waitFor();
});

test("a short before power is told loudly, in the room and on the phone, until it is found", async () => {
    await view(cy.page, "Checks");
    await read(cy, "rail five to rail three", "3,3", "Ω");
    await says(cy, ".stop", /STOP: power off[^]*rail five to rail three reads 3\.3 Ω/);
    await says(instructor, ".stop", /STOP[^]*Cy[^]*do not power it/);
    assert.match(await instructor.page.title(), /STOP/);
    await row_says("Cy", /stop/);
    assert.equal(await row("Cy").getByRole("button").count(), 0, "nobody passes a gate like that");
    await look(instructor, "room-with-danger");
    await look(cy, "danger");
    await press(cy.page, "open for rail five to rail three");
    await until(
        "the danger is over",
        async () =>
            (await cy.page.locator(".stop").count()) === 0 && (await instructor.page.locator(".stop").count()) === 0,
    );
});

test("a build that would harm is the loudest thing in the room, and on the learner's own page", async () => {
    const { page } = cy;
    await view(page, "Build");
    await press(page, "As planned");
    await says(cy, ".wire-card", /Wire 2, black/);
    await page.getByText("All wires", { exact: true }).click();
    await press(page, "Wire 18");
    await press(page, "Not there");
    await says(cy, ".wire-card", /Wire 19, yellow/);
    await press(page, "Wire 20");
    await press(page, "Otherwise"); // past the buffer: 5 V on an input for 3.3 V
    await page.getByLabel("It goes from").fill("8b");
    await look(cy, "build");
    // What was said survives a reload.
    await until("the draft is kept", () =>
        page.evaluate(() => Object.values(localStorage).some((v) => String(v).includes("8b"))),
    );
    await page.reload();
    await says(cy, "main", /3 of 20 said/);
    await view(page, "Steps");
    await open_all(page);
    for (const box of await page.getByLabel(/^Wire/).all()) await box.check();
    await view(page, "Build");
    await press(page, "Take my ticked steps as wired as planned");
    await says(cy, "main", /20 of 20 said/);
    await press(page, "Hand in the build");
    await says(cy, ".stop", /STOP: power off/);
    await says(instructor, ".stop", /STOP[^]*Cy/);
    assert.match(await instructor.page.title(), /STOP/);
    await row_says("Cy", /stop/);
    assert.doesNotMatch(
        await page.locator("main").innerText(),
        /8b in place of|Touches/,
        "mistakes are not shown before the instructor shows them",
    );
    await instructor.page.locator(".stop").getByRole("link", { name: "Cy" }).click();
    await heading(instructor.page, "Cy");
    await says(instructor, ".mistakes", /harmful/);
    await says(instructor, ".mistakes", /8b/);
    await look(instructor, "learner-with-mistakes");
});

test("the server is killed in the middle: what is entered waits on the phone, and nothing is lost", async () => {
    await view(instructor.page, "Room");
    await room.stop("SIGKILL");
    await view(bo.page, "Steps");
    await bo.page.getByLabel("Switch every supply off").check();
    await bo.page.getByLabel("Lay out the parts").check();
    await view(bo.page, "Checks");
    await press(bo.page, "open for rail five to ground");
    await read(bo, "sender.GND to ground", "0.2");
    await says(bo, ".network", /No answer from the server[^]*4 entries kept on this phone/);
    await says(bo, "li.check", /not sent yet/);
    await look(bo, "no-network");
    await view(ada.page, "Steps");
    await ada.page.getByLabel("Lay out the parts").check();
    await until("the queue is kept", () =>
        ada.page.evaluate(() => (localStorage.getItem("voltsill class queue") ?? "").includes("tick")),
    );
    await ada.page.close(); // a phone that puts the page away
    await room.start();
    await until(
        "the network is back for Bo",
        async () =>
            (await bo.page.locator(".network.silent").count()) === 0 &&
            (await bo.page.getByText("not sent yet").count()) === 0,
    );
    await instructor.page.getByLabel("Passphrase").waitFor();
    await says(instructor, "main [role=status]", /sign in again/);
    await sign_in();
    await row_says("Bo", /2 of 25[^]*3 right/);
    await row_says("Cy", /stop/);
    ada.page = await ada.context.newPage();
    watch(ada.page, ada.complaints);
    await ada.page.goto(`${room.url}class`);
    await says(ada, "main", /3 of 25 done/);
    await row_says("Ada", /gate 2[^]*3 of 25[^]*9 right/);
});

test("gates 2, 3 and 4: by the instructor, then by readings alone", async () => {
    await view(ada.page, "Checks");
    for (const [what, value, unit] of [
        ["rail five to ground, its supply", "5,02", undefined],
        ["rail three to ground, its supply", "3.31", undefined],
        ["current out of five", "4", "mA"],
        ["current out of three", "5000 µA", undefined],
    ] as const)
        await read(ada, what, value, unit);
    await press(instructor.page, "Let pass gate 2 for Ada");
    await says(ada, ".gate-line", /Gate 3 of 4/);
    await read(ada, "sender.OUT high: read receiver.IN", "1,9");
    await check(ada, "sender.OUT high: read receiver.IN").getByText("✗ not right").waitFor();
    await read(ada, "sender.OUT high: read receiver.IN", "3.28 V");
    await read(ada, "sender.OUT low: read receiver.IN", "2", "mV");
    await says(ada, ".gate-line", /Gate 4 of 4/);
    await says(ada, ".foot", /is right\. Gate 3 is passed\. Gate 4, function, is open/);
    await at_focus(ada, "h2", /^Gate 4: Function/);
    await press(ada.page, /^high for .*sender.OUT high/);
    await press(ada.page, /^low for .*sender.OUT low/);
    await says(ada, ".gate-line", /All gates are passed/);
    await row_says("Ada", /all gates passed/);
});

test("what learners may see is the instructor's: hints closed, mistakes and marks shown", async () => {
    const { page } = instructor;
    await view(page, "Class");
    await page.getByLabel("Hints for a wrong reading").selectOption({ label: "none" });
    await read_wrong_again();
    await says(bo, ".hints", /Hints are closed/);
    await page.getByLabel("Mistakes and marks of their builds").check();
    await view(cy.page, "Mine");
    await says(cy, "main", /Marks: [\d.]+ of [\d.]+/);
    await says(cy, ".mistakes", /8b/);
    await says(cy, "main", /Readings that were entered under Checks pass gates; they are not handed in/);
    await says(cy, "dt", /Readings for the gates/);
    assert.doesNotMatch(await cy.page.locator("main").innerText(), /readings handed in/);
    await look(cy, "marks");
});
async function read_wrong_again() {
    await read(bo, "receiver.GND to ground", "12", "kΩ");
    await check(bo, "receiver.GND to ground").getByText("✗ not right").waitFor();
}

test("the class in numbers, its export with and without names, and a copy", async () => {
    const { page } = instructor;
    const summary = page.getByRole("region", { name: "Summary" });
    await until("the summary counts gates and builds", async () =>
        /3 learners; 1 handed in[^]*1 that would harm[^]*1 power off\s+1 of 3/.test(await summary.innerText()),
    );
    assert.match(await summary.innerText(), /receiver\.GND to ground/);
    await look(instructor, "class");
    for (const [link, named] of [
        ["Export the class", true],
        ["Export without names", false],
    ] as const) {
        const [download] = await Promise.all([
            page.waitForEvent("download"),
            page.getByRole("link", { name: link }).click(),
        ]);
        const text = readFileSync((await download.path())!, "utf8");
        assert.equal(text.includes('"Ada"'), named, link);
        assert.match(text, /3\.28 V/, link);
    }
    await press(page, "Back up now");
    await says(instructor, ".foot", /A copy of the class/);
    await page.emulateMedia({ media: "print" });
    await view_for_print();
    await page.emulateMedia({ media: "screen" });
});
/** On paper the summary stays and what can be pressed goes. */
async function view_for_print() {
    const { page } = instructor;
    assert.equal(await page.getByRole("button").filter({ visible: true }).count(), 0);
    assert.ok(await page.getByRole("region", { name: "Summary" }).isVisible());
}

test("the room on paper: A4 less its margins (190 mm at 96 to the inch) holds every column", async () => {
    const { page } = instructor;
    await view(page, "Room");
    await row("Cy").waitFor();
    await page.setViewportSize({ width: 718, height: 900 });
    await page.emulateMedia({ media: "print" });
    assert.equal(await too_wide(page), 0);
    assert.deepEqual(
        await page
            .locator("table.room")
            .evaluate((t) => [
                t.getBoundingClientRect().right <= 718,
                getComputedStyle(t.querySelector("thead")!).position,
            ]),
        [true, "static"],
    );
    await page.emulateMedia({ media: "screen" });
    await page.setViewportSize({ width: 1280, height: 900 });
});

test("a phone that is narrow shows the instructor everything too", async () => {
    await instructor.page.setViewportSize(phone);
    for (const [title, name] of [
        ["Room", "room"],
        ["Join", "wall"],
        ["Class", "class"],
    ] as const) {
        await view(instructor.page, title);
        await instructor.page.locator("nav a[aria-current]", { hasText: title }).waitFor();
        await look(instructor, `${name}-360`);
    }
    await view(instructor.page, "Room");
    await row("Cy").getByRole("link").click();
    await heading(instructor.page, "Cy");
    await look(instructor, "learner-360");
    await instructor.page.setViewportSize({ width: 1280, height: 900 });
});

test("a new code shuts the old one; the seat of a lost phone goes to another by the same nickname", async () => {
    const { page } = instructor;
    await view(page, "Room");
    await row("Bo").getByRole("link").click();
    await heading(page, "Bo");
    await press(page, "Let another device take this seat for Bo");
    await heading(bo.page, "Join the class");
    await says(bo, "main [role=status]", /closed this seat for this device; your work is kept/);
    await view(page, "Class");
    const old = await page.locator("main strong.mono").innerText();
    await press(page, "Make a new code");
    await until("there is a new code", async () => (await page.locator("main strong.mono").innerText()) !== old);
    const code = await page.locator("main strong.mono").innerText();
    for (const [typed, words] of [
        [old, /Nobody can join/],
        [code, /^$/],
    ] as const) {
        await bo.page.getByLabel("Code of the room").fill(typed);
        await bo.page.getByLabel("Nickname").fill("bo");
        await press(bo.page, "Join");
        if (typed === old) await says(bo, "main [role=status]", words);
    }
    await heading(bo.page, "Steps");
    await says(bo, "main", /2 of 25 done/);
});

test("leaving and being deleted: nothing stays, neither in the room nor on the phone", async () => {
    await view(cy.page, "Mine");
    await look(cy, "mine");
    await cy.page.getByLabel("Delete everything that is kept of me").check();
    await press(cy.page, "Leave and delete");
    await heading(cy.page, "Join the class");
    assert.deepEqual(await cy.page.evaluate(() => Object.keys(localStorage)), []);
    await view(instructor.page, "Room");
    await until(
        "Cy is gone from the room",
        async () => (await row("Cy").count()) === 0 && (await instructor.page.locator(".stop").count()) === 0,
    );
    await row("Bo").getByRole("link").click();
    await press(instructor.page, "Delete");
    await look(instructor, "delete");
    await press(instructor.page, "Delete for good");
    await heading(bo.page, "Join the class");
    await view(instructor.page, "Room");
    await until("one is left", async () => (await instructor.page.locator("table.room tbody tr").count()) === 1);
});

test("the class is ended in one step, by keyboard, after it was said what goes", async () => {
    const { page } = instructor;
    await view(page, "Class");
    const end = page.getByRole("button", { name: "End the class" });
    await end.focus();
    await page.keyboard.press("Enter");
    const dialog = page.getByRole("dialog", { name: "End the class" });
    assert.match(await dialog.innerText(), /1 learner,[^]*18 readings entered for gates[^]*0 builds handed in/);
    await look(instructor, "end");
    await page.setViewportSize({ width: 390, height: 844 });
    await look(instructor, "end-390");
    await page.setViewportSize({ width: 1280, height: 900 });
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "detached" });
    assert.ok(await end.evaluate((b) => b === document.activeElement), "the focus is where it was");
    await page.keyboard.press("Enter");
    const act = dialog.getByRole("button", { name: "End it and delete all of 1 learner" });
    for (let steps = 0; steps < 5 && !(await act.evaluate((b) => b === document.activeElement)); ++steps)
        await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    await says(instructor, ".foot", /The class has ended/);
    await heading(ada.page, "Join the class");
    await says(ada, "main [role=status]", /The class has ended[^]*Nobody can join until there is a new code/);
    assert.doesNotMatch(await ada.page.locator("main").innerText(), /join again/);
    await says(instructor, "main", /Closed: nobody can join/);
    await view(page, "Room");
    await says(instructor, "main", /Nobody is in the class, and nobody can join: make a new code/);
    assert.doesNotMatch(await page.locator("main").innerText(), /Nobody has joined yet/);
});

test("every view, light and dark: nothing cut off, no violation found by axe", () => assert.deepEqual(found, []));

test("nothing was complained of in the console but the silence of the server", () => {
    const complaints = [instructor, ada, bo, cy]
        .flatMap((seen) => seen.complaints)
        .filter(
            (c) =>
                !/net::ERR_|Failed to load resource: the server responded with a status of (401|403|409|422)/.test(c),
        );
    assert.deepEqual([...new Set(complaints)].slice(0, 5), []);
});
