// Work at a bench with a planted fault: a page that asks, and a build that answers as physics has it, not as the
// program has it.
import assert from "node:assert/strict";
import { test } from "node:test";
import type { Page } from "playwright-core";
import { go, open_file, until, visiting } from "../support/page";

const visit = visiting(["first-bench.toml"], (page) => open_file(page, "first-bench.toml"));

/** Outputs of a 4050 and their inputs (JEDEC Standard No. 7-A, HC 4050 in 16 pins, from memory): 1 supply, 8 ground. */
const input_of: Record<number, number> = { 2: 3, 4: 5, 6: 7, 10: 9, 12: 11, 15: 14 };

/** The planned build of the first bench: one buffer of an HC 4050 on 3.3 V stands between the 5 V sender and the
 *  receiver, inputs of the others lie on ground. Points by what they are joined to; `output` is that of the buffer. */
const nets_with = (output: number): Record<string, string[]> => ({
    five: ["rail five", "sender.VCC"],
    three: ["rail three", "receiver.VCC", "U1.1", "C1.1"],
    ground: [
        "ground",
        "sender.GND",
        "receiver.GND",
        "U1.8",
        "C1.2",
        ...Object.values(input_of)
            .filter((i) => i !== input_of[output])
            .map((i) => `U1.${i}`),
    ],
    sent: ["sender.OUT", `U1.${input_of[output]}`],
    driven: [`U1.${output}`],
    received: ["receiver.IN"],
});
let nets: Record<string, string[]> = {};
const net_of = (point: string): string | undefined => Object.keys(nets).find((net) => nets[net]!.includes(point));

/** What this build answers with the wire from U1.2 to receiver.IN left out: the input hangs in the air, all else is
 *  as planned. null: whoever searches here has no instrument for it. */
function answer(line: string, wire: number): string | null {
    const look = /^(?:wire (\d+)|[A-Z]\w*|sender|receiver) = \.\.\.$/.exec(line);
    if (look) return Number(look[1]) === wire ? "not as planned" : "as planned";
    const between = /^(.+) to (.+) = \.\.\.$/.exec(line);
    if (between) {
        const [a, b] = [net_of(between[1]!), net_of(between[2]!)];
        if (a && a === b) return "0.1 Ω";
        return a && b && [a, b].some((n) => n === "received" || n === "driven") ? "open" : null;
    }
    const volts = /^(.+) = \.\.\.(?: when (sender\.OUT) (high|low))?$/.exec(line);
    const net = volts && net_of(volts[1]!);
    if (!net) return null;
    const high = volts[3] === "high";
    return (
        {
            five: "5.00 V",
            three: "3.30 V",
            ground: "0 V",
            sent: high ? "4.95 V" : "0 V",
            driven: high ? "3.28 V" : "0 V",
            received: "drifts",
        }[net] ?? null
    );
}

/** The answer that is shown belongs to the readings as they are. */
const at_rest = (page: Page) =>
    until("a diagnosis of these readings", () =>
        page.evaluate(
            () =>
                document.querySelector(".next") !== null &&
                document.querySelector("main progress, main .older") === null,
        ),
    );
const asked = (page: Page) => page.locator(".next code").innerText();

/** From the heading where the focus is after every answer, by Tab to what bears these words. */
async function tab_to(page: Page, words: RegExp) {
    for (let i = 0; i < 12; ++i) {
        await page.keyboard.press("Tab");
        const here = await page.evaluate(() => {
            const e = document.activeElement;
            return e instanceof HTMLInputElement ? (e.labels?.[0]?.textContent ?? "") : (e?.textContent ?? "");
        });
        if (words.test(here)) return;
    }
    assert.fail(`Tab does not come to ${words}`);
}

async function give(page: Page, words: string) {
    await page.locator("#next").focus();
    if (/^-?\d/.test(words)) {
        await tab_to(page, /^You read/);
        await page.keyboard.type(words);
    } else {
        await tab_to(page, new RegExp(`^${words}$`, "i"));
    }
    await page.keyboard.press("Enter");
    await at_rest(page);
}

let wire = 0;

test("a bench as it stands asks at once, and says what it compared", async () => {
    const { page } = visit.seen;
    await go(page, "#/wiring");
    const row = page.getByRole("row").filter({ hasText: "receiver.IN" });
    await row.first().waitFor();
    assert.equal(await row.count(), 1, "one wire goes to the input");
    wire = Number(await row.getByRole("rowheader").innerText());
    await page.getByRole("link", { name: "Find the fault" }).click();
    await at_rest(page);
    const offered = await page
        .locator("datalist option")
        .evaluateAll((all) => all.map((o) => (o as HTMLOptionElement).value));
    nets = nets_with(Number(Object.keys(input_of).find((pin) => offered.includes(`U1.${pin} = `))));
    assert.match(await page.locator("main").innerText(), /Nothing yet\.[^]*\d+ single faults of this build/);
});

test("what the bench does is asked first; the head tells the verdict of the plan from that of the bench", async () => {
    const { page } = visit.seen;
    await until("the verdicts of both", async () =>
        /^Joined directly: ✗ harmful: 1 of 1 link not safe\. With the plan: ✓ safe\.$/.test(
            await page.locator(".overall").innerText(),
        ),
    );
    const does = page.locator("details.does");
    assert.notEqual(await does.getAttribute("open"), null);
    assert.ok(
        await page.evaluate(
            () =>
                document.querySelector(".does")!.compareDocumentPosition(document.querySelector(".next")!) &
                Node.DOCUMENT_POSITION_FOLLOWING,
        ),
    );
    assert.equal(await page.getByRole("button", { name: "To the next reading" }).count(), 0);
    await page.getByRole("checkbox", { name: "fails", exact: true }).check();
    await at_rest(page);
    assert.match(await does.locator("summary").innerText(), /first signal fails/);
    await page.getByRole("button", { name: "To the next reading" }).click();
    assert.equal(await page.evaluate(() => document.activeElement?.id), "next");
    await page.getByRole("checkbox", { name: "fails", exact: true }).uncheck();
    await at_rest(page);
});

test("an answer that cannot be read is said where it was typed, and typed again there", async () => {
    const { page } = visit.seen;
    const rows = page.locator("ol.entries > li");
    const before = await rows.count();
    if (/wire|around/.test(await asked(page))) {
        // a look comes first: one that is answered in volts is offered beside it
        await page.locator(".next details summary").click();
        await page.locator(".next details li button").filter({ hasText: ": volts " }).first().click();
    }
    const field = page.getByLabel("You read");
    await field.fill("3280m");
    await field.press("Enter");
    await page.locator(".next .trouble").waitFor();
    assert.match(
        await page.locator(".next .trouble").innerText(),
        /Not taken: no unit is called "m".*Expected: a voltage/,
    );
    assert.equal(await rows.count(), before);
    assert.equal(await page.locator(".entries .trouble, main .older").count(), 0);
    await until("the field is ready for another answer", () =>
        page.evaluate(
            () => document.activeElement?.id !== "" && document.activeElement === document.querySelector(".next input"),
        ),
    );
    await page.keyboard.type("3,28");
    await page.keyboard.press("Enter");
    await until("it is a reading", async () => (await rows.count()) === before + 1);
    await at_rest(page);
    assert.match(await rows.nth(before).innerText(), /3\.28 V/);
    await page.getByRole("button", { name: `Remove reading ${before + 1}` }).click();
    await at_rest(page);
});

test("a planted fault is found by answering what the page asks, by keyboard alone", async (t) => {
    const { page } = visit.seen;
    await page.getByRole("checkbox", { name: "fails", exact: true }).focus();
    await page.keyboard.press("Space");
    await at_rest(page);
    const lines: string[] = [];
    const first = page.locator(".suspects > li").first();
    for (let i = 0; i < 12 && !/^(over 99|9\d) %/.test(await first.innerText()); ++i) {
        const offers = page.locator(".next details li button");
        let line = await asked(page);
        let said = answer(line, wire);
        for (let k = 0; said === null && k < (await offers.count()); ++k) {
            const list = page.locator(".next details");
            if ((await list.getAttribute("open")) === null) await list.locator("summary").click();
            await offers.nth(k).click();
            [line, said] = [await asked(page), answer(await asked(page), wire)];
        }
        assert.ok(said, `there is an answer to ${line}`);
        lines.push(line.replace("...", said));
        await give(page, said);
    }
    t.diagnostic(`wire ${wire} left out; ${lines.join("; ")}`);
    const found = await first.innerText();
    assert.match(found, new RegExp(`wire ${wire}\\b`), lines.join("; "));
    assert.equal(await page.locator("ol.entries > li").count(), lines.length + 1);
    assert.ok(lines.length <= 10, `${lines.length} readings`);
    assert.ok(await page.locator("section[aria-labelledby=ruled-out] li").count(), "something is ruled out, and why");
});

test("a reading is taken back by removing it; a mistake is shown at the reading with the nearest name", async () => {
    const { page } = visit.seen;
    const rows = page.locator("ol.entries > li");
    const before = await rows.count();
    const own = page.getByLabel("A reading of your own choice");
    await own.fill("reciever.IN = 3.3 V");
    await own.press("Enter");
    await rows.nth(before).locator(".trouble").waitFor();
    assert.match(await rows.nth(before).innerText(), /Did you mean receiver/);
    assert.ok(await page.locator(".suspects").count(), "the last answer stays");
    await page.getByRole("button", { name: `Change reading ${before + 1}` }).click();
    await page.getByLabel(`Reading ${before + 1}`).fill("rail three = 3.3 V");
    await page.getByRole("button", { name: "Take the change" }).click();
    await at_rest(page);
    assert.match(await rows.nth(before).innerText(), /3\.3 V/);
    await page.getByRole("button", { name: `Remove reading ${before + 1}` }).click();
    await at_rest(page);
    assert.equal(await rows.count(), before);
});

test("the file of the readings, taken again, says the same; a block of it can be removed", async () => {
    const { page } = visit.seen;
    const rows = page.locator("ol.entries > li");
    const first = page.locator(".suspects > li").first();
    const [before, suspect] = [await rows.count(), await first.innerText()];
    await page.getByText("Readings as a file").click();
    const text = page.getByLabel("readings.toml", { exact: true });
    const whole = await text.inputValue();
    await page.getByRole("button", { name: "Take these readings" }).click();
    await until(
        "the readings stand in the file",
        async () => (await page.getByRole("button", { name: /^Change reading/ }).count()) === 0,
    );
    await at_rest(page);
    assert.equal(await rows.count(), before);
    assert.equal(await first.innerText(), suspect);
    await text.fill(whole.replace("[[seen]]", "[[sen]]"));
    await page.getByRole("button", { name: "Take these readings" }).click();
    await page.getByText("The readings cannot be understood yet").waitFor();
    assert.match(await page.locator(".problems").innerText(), /readings\.toml, line \d+/);
    await text.fill(whole);
    await page.getByRole("button", { name: "Take these readings" }).click();
    await at_rest(page);
    await page.getByRole("button", { name: "Remove reading 1", exact: true }).click();
    await at_rest(page);
    assert.equal(await rows.count(), before - 1);
});

test("readings outlive the tab", async () => {
    const { page } = visit.seen;
    const count = await page.locator("ol.entries > li").count();
    await page.reload();
    await at_rest(page);
    assert.equal(await page.locator("ol.entries > li").count(), count);
    assert.equal(await page.locator("details.does").getAttribute("open"), null);
});

test("a learner sees no cause before asking three times", async () => {
    const { page } = visit.seen;
    const main = () => page.locator("main").innerText();
    await page.getByLabel("A learner searches").check();
    assert.equal(await page.locator(".next, .suspects, section[aria-labelledby=ruled-out]").count(), 0);
    await page.getByRole("button", { name: "Give me a question" }).click();
    assert.match(await page.locator(".hints").innerText(), /Think\./);
    assert.doesNotMatch(await page.locator(".hints").innerText(), /The cause\./);
    await page.getByRole("button", { name: "Show me the reading" }).click();
    await page.locator(".next").waitFor();
    assert.equal(await page.locator(".suspects").count(), 0);
    assert.doesNotMatch(await page.locator(".next").innerText(), /left out/);
    await page.getByRole("button", { name: "Show me the cause" }).click();
    await page.locator(".suspects").first().waitFor();
    assert.match(await main(), /The cause\./);
});

const all_removed = async (page: Page) => {
    const files = page.locator("details").filter({ hasText: "Readings as a file" });
    if ((await files.getAttribute("open")) === null) await files.locator("summary").click();
    await page.getByRole("button", { name: "Remove all readings" }).click();
    await at_rest(page);
};
const typed_in = async (page: Page, line: string) => {
    const own = page.getByLabel("A reading of your own choice");
    await own.fill(line);
    await own.press("Enter");
};
const entered = async (page: Page, line: string) => {
    await typed_in(page, line);
    await at_rest(page);
};

/** Comes to a reading that is asked for, by the list of the others where it is not the first. */
async function take(page: Page, what: RegExp) {
    const list = page.locator(".next details");
    for (let k = 0; !what.test(await asked(page)); ++k) {
        if ((await list.getAttribute("open")) === null) await list.locator("summary").click();
        await list.locator("li button").nth(k).click();
    }
}

/** The net of a pin by the list of wires and the strips it hangs on: what the same board says in words. */
test("the package to probe is the one on the board, its pin in a thick frame", async () => {
    const { page } = visit.seen;
    await page.getByLabel("A learner searches").uncheck();
    await all_removed(page);
    await go(page, "#/wiring");
    await page.locator("#packages").waitFor();
    const on_board = await page.locator(".packages svg").first().innerHTML();
    await page.getByRole("link", { name: "Find the fault" }).click();
    await at_rest(page);
    await entered(page, "first signal fails");
    await take(page, /U1\.\d+/);
    const pin = /U1\.(\d+)/.exec(await asked(page))![1]!;
    const figure = page.locator("figure.probe");
    await figure.waitFor();
    assert.match(await figure.innerText(), new RegExp(`Pin ${pin}\\b`));
    assert.ok(await figure.locator(`[data-pin="${pin}"].probed`).count(), "its frame is thick");
    const plain = (svg: string) =>
        svg.replaceAll(/ class="[^"]*"| id="[^"]*"|url\(#[^)]*\)|href="[^"]*"| style="[^"]*"/g, "");
    assert.equal(plain(await figure.locator("svg").innerHTML()), plain(on_board), "the same channels as on the board");
});

test("what a look shows is offered beside the plain answers, and the suspects follow what was seen", async (t) => {
    const { page } = visit.seen;
    await all_removed(page);
    await entered(page, "first signal fails");
    await entered(page, `${nets.sent![1]} = drifts`);
    await take(page, /^wire \d+ = /);
    const at = /^wire (\d+)/.exec(await asked(page))![1]!;
    const sights = page.getByRole("group", { name: `you see of wire ${at}` }).getByRole("button");
    const offered = await sights.allInnerTexts();
    t.diagnostic(`wire ${at}: ${offered.join(", ")}`);
    assert.ok(offered.includes("Missing"), offered.join(", "));
    const hole = offered.map((words) => /^In (\d+[a-z])$/.exec(words)?.[1]).find(Boolean)!;
    const others = offered.filter((words) => words !== `In ${hole}`);
    await give(page, `In ${hole}`);
    const first = page.locator(".suspects > li").first();
    assert.match(
        await page.locator("ol.entries").innerText(),
        new RegExp(`wire ${at}[^]*in ${hole}`),
        "what was seen is a reading",
    );
    assert.match(await first.innerText(), new RegExp(`wire ${at} in ${hole} in place of`), others.join(", "));
    assert.ok(await page.evaluate(() => document.activeElement?.id === "next"), "the focus is at the next reading");
    await page.getByRole("button", { name: "Remove reading 3" }).click();
    await at_rest(page);
    await take(page, new RegExp(`^wire ${at} = `));
    await give(page, "Missing");
    assert.match(await first.innerText(), new RegExp(`wire ${at} left out`), "another sight, another suspect");
});

test("after a fault that harms it is said what to keep off, and what to test in which order", async (t) => {
    const { page } = visit.seen;
    await all_removed(page);
    await entered(page, "first signal fails");
    await entered(page, "U1 gets hot");
    await page.locator(".keep-off").waitFor();
    const suspects = await page.locator(".suspects > li").allInnerTexts();
    const harmful = suspects.find((words) => /could harm/.test(words) && /wire \d+/.test(words));
    assert.ok(harmful, suspects.join(" | "));
    await entered(page, `wire ${/wire (\d+)/.exec(harmful)![1]} = not as planned`);
    const damage = page.locator("section[aria-labelledby=damage]");
    await damage.waitFor();
    t.diagnostic((await damage.innerText()).replaceAll("\n", " | ").slice(0, 400));
    assert.ok(await damage.locator("ol.damaged > li").count(), "parts in the order in which to test them");
    assert.match(await damage.locator("tbody tr").first().innerText(), /open|0\.\d+.*V/);
    if (process.env.VOLTSILL_SHOTS) await shots(page, process.env.VOLTSILL_SHOTS);
});

/** For whoever looks at it: narrow and wide, light and dark. */
async function shots(page: Page, folder: string) {
    for (const scheme of ["light", "dark"] as const)
        for (const width of [360, 1280]) {
            await page.emulateMedia({ colorScheme: scheme });
            await page.setViewportSize({ width, height: 900 });
            await page.screenshot({ path: `${folder}/fault-${scheme}-${width}.png`, fullPage: true });
        }
    await page.emulateMedia({ colorScheme: null });
    await page.setViewportSize({ width: 1280, height: 900 });
}

test("how often a kind is met can be seen and changed, and stands in the file of the readings", async () => {
    const { page } = visit.seen;
    await all_removed(page);
    await entered(page, "first signal fails");
    const weights = page.locator("details.weights");
    await weights.locator("summary").click();
    const often = page.getByLabel("How often: wire left out");
    assert.equal(await often.inputValue(), "10");
    assert.match(await page.locator(".suspects").first().innerText(), /left out/);
    await often.fill("0");
    await often.press("Enter");
    await at_rest(page);
    assert.doesNotMatch(await page.locator(".suspects").first().innerText(), /wire \d+ left out \(first signal/);
    assert.match(
        await page.getByLabel("readings.toml", { exact: true }).inputValue(),
        /\[weights\]\s*wire-missing = 0/,
    );
    assert.match(await weights.innerText(), /1 changed[^]*not thought of/);
    await page.getByRole("button", { name: "Usual: 10 for wire left out" }).click();
    await at_rest(page);
    assert.equal(await often.inputValue(), "10");
    assert.match(await page.locator(".suspects").first().innerText(), /left out/);
});

test("a server that is busy is asked again by itself", async () => {
    const { page } = visit.seen;
    let refused = 0;
    await page.route("**/api/diagnose", async (route) => {
        if (refused === 2) return route.continue();
        ++refused;
        return route.fulfill({
            status: 429,
            contentType: "application/json",
            body: JSON.stringify({
                accepted: false,
                problems: [{ code: "too-busy", message: "more is being asked for than can be worked on" }],
            }),
        });
    });
    await entered(page, "rail three = 3.3 V");
    await page.unroute("**/api/diagnose");
    assert.equal(refused, 2);
    assert.match(await page.locator("ol.entries").innerText(), /3\.3 V/);
    assert.equal(await page.locator(".trouble").count(), 0);
    const told = visit.seen.complaints.filter((words) => !/429/.test(words));
    visit.seen.complaints.splice(0, visit.seen.complaints.length, ...told); // what this test made itself
});

test("a network that was away, and a server that was started again, are asked again by themselves", async () => {
    const { page, context } = visit.seen;
    const rows = page.locator("ol.entries > li");
    const before = await rows.count();
    await context.setOffline(true);
    await typed_in(page, "rail five = 5 V");
    await page.getByText("The server does not answer; asking again by itself").waitFor();
    await context.setOffline(false);
    await at_rest(page);
    const port = Number(new URL(visit.served.url).port);
    await visit.served.stop();
    await typed_in(page, "ground = 0 V");
    await page.getByText("The server does not answer; asking again by itself").waitFor();
    await visit.served.start(port);
    await at_rest(page);
    assert.equal(await rows.count(), before + 2);
    assert.equal(await page.locator("main .trouble").count(), 0);
    const told = visit.seen.complaints.filter((words) => !/ERR_|401/.test(words));
    visit.seen.complaints.splice(0, visit.seen.complaints.length, ...told); // what this test made itself
});

test("nothing was complained of in the console", () => {
    assert.deepEqual([...new Set(visit.seen.complaints)].slice(0, 5), []);
});
