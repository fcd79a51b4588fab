import assert from "node:assert/strict";
import { cpus } from "node:os";
import { test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";
import { open_file, settled, visiting } from "../support/page";

const visit = visiting(["rain-garden.toml"], async (page) => {
    await open_file(page, "rain-garden.toml");
    await settled(page);
});
const times = 25,
    target = 100; // ms, of the design

/** The share of time in which the processors had nothing to do. */
async function idle(milliseconds: number): Promise<number> {
    const sum = () =>
        cpus().reduce(
            (s, { times: t }) => ({ idle: s.idle + t.idle, all: s.all + t.idle + t.user + t.sys + t.nice + t.irq }),
            { idle: 0, all: 0 },
        );
    const before = sum();
    await pause(milliseconds);
    const after = sum();
    return (after.idle - before.idle) / (after.all - before.all);
}

test("on the rain-garden bench a verdict follows every keystroke, and how fast", async (t) => {
    const { page } = visit.seen;
    const rest = await idle(1500);
    await page.evaluate(() => {
        const kept: number[] = ((window as unknown as { kept: number[] }).kept = []);
        new PerformanceObserver((list) =>
            list.getEntries().forEach((e) => e.name === "verdict shown" && kept.push(e.duration)),
        ).observe({ type: "measure" });
    });
    await page.locator(".cm-content").focus();
    await page.keyboard.press("Control+Home");
    for (let i = 0; i < times; ++i) {
        await page.keyboard.type("#");
        await page.waitForTimeout(200);
    }
    const kept = await page.evaluate(() => (window as unknown as { kept: number[] }).kept.sort((a, b) => a - b));
    const at = (share: number) => kept[Math.min(kept.length - 1, Math.floor(share * kept.length))]!;
    const [fastest, median, most] = [0, 0.5, 0.9].map((share) => `${at(share).toFixed(0)} ms`);
    const words =
        `keystroke to verdict shown, ${kept.length} times: fastest ${fastest}, median ${median}, 90 % ${most}; ` +
        `the machine was ${(100 * rest).toFixed(0)} % idle before`;
    console.log(words);
    t.diagnostic(words);
    assert.ok(kept.length >= times / 2, `${kept.length} verdicts came`);
    // Said, not held to: how busy the machine is, is not the page's doing.
    console.log(`ratio page_verdict ${(target / at(0.5)).toFixed(2)} 1`);
});
