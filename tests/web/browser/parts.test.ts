// The catalogue in the page: found by the words that `voltsill parts search` takes, with what one chooses by.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { test } from "node:test";
import { too_wide, violations } from "../support/axe";
import { go, open_file, until, visiting } from "../support/page";

const visit = visiting(["first-bench.toml"], (page) => go(page, "#/parts"));

interface Listed {
    parts: { name: string }[];
    traits: { name: string }[];
}
const program = (words: string): Listed =>
    JSON.parse(
        execFileSync(process.env.VOLTSILL_PROGRAM!, ["parts", "search", words, "--json"], {
            encoding: "utf8",
            maxBuffer: 64 << 20,
        }),
    ) as Listed;

async function search(words: string) {
    await visit.seen.page.getByLabel("What is it?").fill(words);
    await until(`an answer to ${words}`, async () =>
        (await visit.seen.page.locator("main [role=status]").innerText()).includes(`“${words}”`),
    );
}
const parts = () => visit.seen.page.locator("main > ul.ruled a").allInnerTexts();
const traits = () => visit.seen.page.locator("section[aria-labelledby=traits] li strong").allInnerTexts();

test("whatever the program finds for these words is in the page, traits for pins of one's own too", async () => {
    for (const words of ["open collector", "LVC octal", "three-state", "TTL input", "translator"]) {
        await search(words);
        const [listed, shown, pins] = [program(words), await parts(), await traits()];
        assert.ok(listed.parts.length + listed.traits.length > 0, words);
        assert.deepEqual(
            listed.parts.map((p) => p.name).filter((name) => !shown.includes(name)),
            [],
            words,
        );
        assert.deepEqual(
            pins,
            listed.traits.map((t) => t.name),
            words,
        );
    }
    await search("open collector");
    assert.match(
        await visit.seen.page.locator("section[aria-labelledby=traits] code").innerText(),
        /like = "open-collector output"/,
    );
});

test("a row says supply and packages, and typed again they find the part", async () => {
    await search("HC octal buffer");
    const row = visit.seen.page
        .locator("main > ul.ruled > li")
        .filter({ has: visit.seen.page.getByRole("link", { name: "HC 541", exact: true }) });
    const said = await row.locator(".at-hand").innerText();
    assert.match(said, /^2\.\.6 V; DIP-20/); // HC logic: 2 V to 6 V (JEDEC Standard No. 7-A)
    await search("HC octal buffer 2..6 V");
    assert.ok((await parts()).slice(0, 4).includes("HC 541"), (await parts()).slice(0, 6).join(", "));
    await search("octal buffer 1.8 V");
    assert.ok(!(await parts()).slice(0, 3).some((name) => name.startsWith("HC ")), "2 V is the least of HC");
});

test("a part that nobody knows is said to be unknown, and a failed look-up is no such answer", async () => {
    const { page } = await visit.open();
    await page.route("**/api/part", (route) => route.fulfill({ status: 429, json: { problems: [] } }));
    await go(page, "#/parts/HC 541");
    await page.locator(".foot.trouble").waitFor();
    assert.match(await page.locator("main [role=status]").innerText(), /Looking it up/);
    await page.unroute("**/api/part");
    await go(page, "#/parts/no such part");
    await page.getByText("No part of this name is known.").waitFor();
    await go(page, "#/parts/HC 541");
    await page.locator("main table.figures").first().waitFor();
});

test("a bench that is opened again has its pins to join again", async () => {
    const { page } = await visit.open();
    await open_file(page, "first-bench.toml");
    await page.locator(".pins .pin").first().waitFor();
    await go(page, "#/");
    await open_file(page, "first-bench.toml");
    await page.locator(".pins .pin").first().waitFor();
});

test("nothing cut off on a phone, no violation found by axe", async () => {
    await visit.seen.page.setViewportSize({ width: 360, height: 740 });
    await search("open collector");
    assert.equal(await too_wide(visit.seen.page), 0);
    assert.deepEqual(await violations(visit.seen.page), []);
});
