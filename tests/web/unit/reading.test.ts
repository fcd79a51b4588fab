import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { test } from "node:test";
import { events_in } from "@page/model/event_stream";
import type { Bench } from "@page/model/answers";
import { difference } from "@page/model/difference";
import { link_at, outline } from "@page/model/outline";
import { hash_of, route_of } from "@page/model/routes";
import { level, quantity, span, volts_share } from "@page/model/words";

const examples = process.env.VOLTSILL_EXAMPLES!;
const program = process.env.VOLTSILL_PROGRAM!;

test("the outline names what the core reads, on every example", () => {
    for (const name of readdirSync(examples).filter((f) => f.endsWith(".toml"))) {
        const path = join(examples, name);
        const run = spawnSync(program, ["check", "--json", path], { encoding: "utf8", maxBuffer: 1e9 });
        const { bench } = JSON.parse(run.stdout) as { bench: Bench };
        const seen = outline(readFileSync(path, "utf8"));
        const named = (rows: { name: string; place?: { line: number }; line?: number }[]) =>
            rows.map((r) => `${r.name} ${r.line ?? r.place!.line}`).sort();
        assert.deepEqual(named(seen.rails), named(bench.rails), name);
        assert.deepEqual(named(seen.parts), named(bench.parts), name);
        assert.deepEqual(named(seen.links), named(bench.links), name);
        assert.deepEqual(seen.parts.map((p) => p.type).sort(), bench.parts.map((p) => p.type).sort(), name);
    }
});

test("a line belongs to the link whose block holds it", () => {
    const text = `[rails]
usb = "5 V"

[[links]]
name = "a"
from = "x.Y"

[[links]]
from = "z.Z"
name = "b # c"
[stock]
x = 1
`;
    const lines = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];
    const b = "b # c";
    assert.deepEqual(
        lines.map((l) => link_at(text, l)),
        [null, null, null, "a", "a", "a", "a", b, b, b, null, null],
    );
});

test("numbers as engineers write them (SI prefixes, SI Brochure 9th edition, table 7)", () => {
    const of = (value: number, unit: string) => quantity({ value, unit });
    assert.equal(of(4700, "ohm"), "4.7 kΩ");
    assert.equal(of(-0.474, "volt"), "-474 mV");
    assert.equal(of(0.9996, "ampere"), "1 A");
    assert.equal(of(1.28e-8, "second"), "12.8 ns");
    assert.equal(of(0, "volt"), "0 V");
    assert.equal(of(40, "degree Celsius"), "40 °C");
    assert.equal(quantity(null), "-");
    assert.equal(span({ lo: 4.75, nominal: 5, hi: 5.25, unit: "volt" }), "4.75 V to 5.25 V");
    assert.equal(level({ ratio: 0.7, offset: { value: 0, unit: "volt" } }), "0.7 supply");
    assert.equal(level({ ratio: 1, offset: { value: -0.1, unit: "volt" } }), "supply - 100 mV");
    assert.ok(volts_share(1.8) < volts_share(3.3) && volts_share(3.3) < volts_share(5) && volts_share(36) === 1);
});

test("addresses come back as they were, whatever a link is called", () => {
    for (const link of ["tank echo", "a/b", "100 %", "ü#?&", "#/bench"])
        assert.deepEqual(route_of(hash_of({ view: "link", link })), { view: "link", link });
    assert.deepEqual(route_of("#/link/%"), { view: "link", link: "%" });
    assert.deepEqual(route_of("#/nowhere"), { view: "start" });
});

// HTML standard, 9.2.6 "Interpreting an event stream": its examples, cut at every place.
test("event streams are read whatever the pieces they come in", () => {
    const text =
        ': comment\n\nevent: progress\ndata: {"share":0.5}\n\nevent: result\ndata: {"a":\ndata: 1}\n\nevent: end\n\n';
    const whole = events_in(text).events;
    assert.deepEqual(
        whole.map((e) => e.name),
        ["progress", "result", "end"],
    );
    assert.deepEqual(whole[1]!.data, { a: 1 });
    for (let cut = 0; cut < text.length; ++cut) {
        const first = events_in(text.slice(0, cut));
        const rest = events_in(first.rest + text.slice(cut));
        assert.deepEqual([...first.events, ...rest.events], whole);
    }
});

test("the stretch in which texts differ turns one into the other", () => {
    const words = ["", "a", "ab", "aa", "aba", "xyz", "a\nb", "a\nxb", "aaaa"];
    for (const a of words)
        for (const b of words) {
            const { from, to, insert } = difference(a, b);
            assert.equal(a.slice(0, from) + insert + a.slice(to), b);
            assert.ok(a === b ? from === to && insert === "" : from <= to);
        }
});
