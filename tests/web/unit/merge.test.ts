import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { choose, merge, merged, open_conflicts } from "@page/model/merge";

const base = ['title = "A"', "", "[rails]", 'usb = "5 V"', "", "[parts]", 'gauge = "x"', ""].join("\n");

test("changes at different places are both taken without asking", () => {
    const mine = base.replace("5 V", "5 V ± 5 %");
    const theirs = base.replace('title = "A"', 'title = "B"');
    const regions = merge(mine, base, theirs);
    assert.equal(open_conflicts(regions), 0);
    assert.equal(merged(regions), base.replace("5 V", "5 V ± 5 %").replace('"A"', '"B"'));
});

test("changes of one line are a conflict, and the choice decides", () => {
    const mine = base.replace('"A"', '"mine"');
    const theirs = base.replace('"A"', '"theirs"');
    const regions = merge(mine, base, theirs);
    assert.equal(open_conflicts(regions), 1);
    const at = regions.findIndex((r) => r.kind === "conflict");
    assert.equal(merged(choose(regions, at, "mine")), mine);
    assert.equal(merged(choose(regions, at, "theirs")), theirs);
    assert.match(merged(choose(regions, at, "both")), /"mine"\ntitle = "theirs"/);
    assert.equal(open_conflicts(choose(regions, at, "both")), 0);
});

test("laws: one side alone wins, equal changes are no conflict, mine and theirs mirror", () => {
    const mine = `${base}# end\n`;
    assert.equal(merged(merge(mine, base, base)), mine);
    assert.equal(merged(merge(base, base, mine)), mine);
    assert.equal(open_conflicts(merge(mine, base, mine)), 0);
    assert.equal(merged(merge(mine, base, mine)), mine);
    const other = base.replace('"A"', '"B"');
    assert.equal(open_conflicts(merge(mine, base, other)), open_conflicts(merge(other, base, mine)));
});

// Outside reference: diff3 of GNU diffutils.
test("where diff3 merges without conflict, the same text comes out here", () => {
    const folder = mkdtempSync(join(tmpdir(), "merge-"));
    let seed = 11;
    const random = (n: number) => ((seed = (seed * 1103515245 + 12345) % 2147483648) >> 12) % n;
    const changed = (lines: string[]) =>
        lines.flatMap((l, i) => (random(20) === 0 ? (random(2) ? [] : [`${l}!`, `new ${i} ${random(9)}`]) : [l]));
    let clean = 0;
    for (let round = 0; round < 60; ++round) {
        const lines = Array.from({ length: 40 }, (_, i) => `line ${i}`);
        const texts = { mine: changed(lines), base: lines, theirs: changed(lines) };
        for (const [name, text] of Object.entries(texts)) writeFileSync(join(folder, name), `${text.join("\n")}\n`);
        const diff3 = spawnSync("diff3", ["-m", "mine", "base", "theirs"], { cwd: folder, encoding: "utf8" });
        if (diff3.status !== 0) continue;
        ++clean;
        const regions = merge(`${texts.mine.join("\n")}\n`, `${lines.join("\n")}\n`, `${texts.theirs.join("\n")}\n`);
        if (open_conflicts(regions) === 0) assert.equal(merged(regions), diff3.stdout);
    }
    rmSync(folder, { recursive: true });
    assert.ok(clean > 3, `diff3 merged ${clean} of 60`);
});
