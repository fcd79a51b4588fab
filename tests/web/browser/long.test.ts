import assert from "node:assert/strict";
import { test } from "node:test";
import type { CDPSession } from "playwright-core";
import { open_file, settled, visiting } from "../support/page";

/** What an hour of work leaves behind: texts of the history, and little else. */
const edits = 600;
const bound = 24e6;

const visit = visiting(["first-bench.toml"], async (page) => {
    await open_file(page, "first-bench.toml");
    await settled(page);
});

async function heap(cdp: CDPSession): Promise<number> {
    for (let i = 0; i < 3; ++i) await cdp.send("HeapProfiler.collectGarbage");
    return (await cdp.send("Runtime.getHeapUsage")).usedSize;
}

test(`${edits} edits leave the heap where it was, but for the history of texts`, async () => {
    const { page, complaints } = visit.seen;
    await page.locator(".cm-content").focus();
    await page.keyboard.press("Control+Home");
    const work = async (n: number) => {
        for (let i = 0; i < n; ++i) {
            await page.keyboard.type(i % 2 ? " " : "#");
            if (i % 10 === 9)
                await page
                    .getByRole("button", { name: /^Undo/ })
                    .click()
                    .then(() => page.locator(".cm-content").focus());
            if (i % 50 === 49) await settled(page);
        }
        await settled(page);
    };
    const cdp = await page.context().newCDPSession(page);
    await work(100);
    const before = await heap(cdp);
    await work(edits);
    const after = await heap(cdp);
    const [first, last] = [before, after].map((bytes) => (bytes / 1e6).toFixed(1));
    console.log(`heap after garbage collection: ${first} MB, after ${edits} edits ${last} MB`);
    assert.ok(after - before < bound, `${after - before} bytes more`);
    const nodes = (await cdp.send("Memory.getDOMCounters")).nodes;
    assert.ok(nodes < 60000, `${nodes} nodes`);
    assert.deepEqual([...new Set(complaints)].slice(0, 5), []);
});
