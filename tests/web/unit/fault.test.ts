import assert from "node:assert/strict";
import { test } from "node:test";
import type { Action } from "@page/model/actions";
import type { Diagnosis, NextReading } from "@page/model/fault_answers";
import {
    answer_form,
    asked_of,
    entries,
    fault_current,
    gain_words,
    line_of,
    looked_at,
    mistakes_elsewhere,
    not_taken,
    pins_asked,
    share_bar,
    share_words,
    parts_asked,
    wire_asked,
    with_unit,
} from "@page/model/fault";
import { blocks_of, without_block, type ReadingsChange } from "@page/model/readings";
import { reduce } from "@page/model/reducer";
import { initial, type State } from "@page/model/state";
import { weight_typed, with_weight } from "@page/model/weights";

const run = (s: State, ...actions: Action[]): State => actions.reduce(reduce, s);
const change = (c: ReadingsChange): Action => ({ do: "readings", change: c });
const add = (line: string) => change({ kind: "add", line });
const opened = run(initial, {
    do: "open",
    file: { path: "a.toml", text: "one\n", version: "v1" },
    path: "a.toml",
    left: null,
});
const answered = (s: State, value: Partial<Diagnosis>, of = asked_of(s)): State =>
    run(s, {
        do: "answer",
        name: "fault",
        of,
        value: { accepted: true, problems: [], readings: [], ...value } as Diagnosis,
        done: true,
    });
const place = (file: string, line: number) => ({ file, line, column: 1, width: 1 });

test("a diagnosis belongs to the bench and to the readings it was asked with, and to no others", () => {
    const s = answered(run(opened, add("rail usb = 4.4 V")), { sentence: "first" });
    assert.equal(fault_current(s), true);
    assert.equal(fault_current(run(s, add("nothing works"))), false);
    assert.equal(
        fault_current(run(s, { do: "text", text: "two\n", selection: { anchor: 0, head: 0 }, word: "typing", at: 0 })),
        false,
    );
    const late = answered(run(s, add("nothing works")), { sentence: "late" }, asked_of(s));
    assert.equal(late.known?.sentence, "first");
});

test("readings that cannot be read keep the last diagnosis that could, and each mistake stands at its line", () => {
    const s = answered(run(opened, add("rail usb = 4.4 V")), { sentence: "good" });
    const problem = (file: string, line: number) => ({
        code: "unknown-point",
        message: "no such point",
        nearest: "U1.13",
        place: place(file, line),
    });
    const bad = answered(run(s, add("U9.13 = 1 V")), {
        accepted: false,
        problems: [problem("--reading", 2), problem("readings.toml", 7)],
    });
    assert.equal(bad.known?.sentence, "good");
    assert.deepEqual(
        entries(bad).map((e) => e.problems.length),
        [0, 1],
    );
    assert.deepEqual(
        mistakes_elsewhere(bad.fault.value!).map((p) => p.place?.line),
        [7],
    );
    assert.deepEqual(
        entries(run(bad, change({ kind: "put", at: 1, line: "U1.13 = 1 V" }))).map((e) => [e.words, e.problems.length]),
        [
            ["rail usb = 4.4 V", 0],
            ["U1.13 = 1 V", 0],
        ],
    );
});

test("an answer that cannot be read is no reading: the words for it stay with its question", () => {
    const s = answered(run(opened, add("rail usb = 4.4 V")), { sentence: "good" });
    const problem = { code: "no-answer", message: "no number", place: place("--reading", 2) };
    const tried = run(s, change({ kind: "add", line: "U1.18 = abc when D4 high", tried: true }));
    const back = answered(tried, { accepted: false, problems: [problem] });
    assert.deepEqual(back.readings.lines, ["rail usb = 4.4 V"]);
    assert.equal(fault_current(back) && back.fault.value?.accepted && !back.fault.running, true);
    assert.deepEqual(not_taken(back, next("voltmeter", "U1.18 = ", " when D4 high")), [problem]);
    assert.deepEqual(not_taken(back, next("voltmeter", "U1.17 = ", " when D4 high")), []);
    assert.equal(not_taken(run(back, add("U1.18 = 3 V")), next("voltmeter", "U1.18 = ")).length, 0);
    // A mistake elsewhere does not take the answer away.
    const other = answered(tried, { accepted: false, problems: [{ ...problem, place: place("readings.toml", 2) }] });
    assert.equal(other.readings.lines.length, 2);
});

test("a reading is undone by removing it; the others stay as they were", () => {
    const s = run(opened, add("a = 1 V"), add("b = 2 V"), add("c = 3 V"));
    assert.deepEqual(run(s, change({ kind: "drop", at: 1 })).readings.lines, ["a = 1 V", "c = 3 V"]);
    assert.deepEqual(run(s, add("d"), change({ kind: "drop", at: 3 })).readings, s.readings);
});

test("what is ticked comes, goes when it is ticked again, and drives out what it speaks against", () => {
    const tick = (line: string, ...instead_of: string[]) => change({ kind: "tick", line, instead_of });
    const s = run(opened, tick("echo fails", "echo works"), tick("echo works when touched", "echo works"));
    assert.deepEqual(s.readings.lines, ["echo fails", "echo works when touched"]);
    assert.deepEqual(run(s, tick("echo works", "echo fails", "echo works when touched")).readings.lines, [
        "echo works",
    ]);
    assert.deepEqual(run(s, tick("echo fails", "echo works")).readings.lines, ["echo works when touched"]);
});

const file = `[meter]
volts_error = "1 %"

[[readings]]
at = "U1.13"
reads = "0.02 V"

[[seen]]
link = "tank echo"
what = "works when touched"

[options]
pairs = true
`;

test("a reading of a file is cut out whole, by any line of it, and nothing else is touched", () => {
    assert.deepEqual(blocks_of(file), [
        { row: 4, words: 'at = "U1.13", reads = "0.02 V"' },
        { row: 8, words: 'link = "tank echo", what = "works when touched"' },
    ]);
    const rows = file.split("\n");
    for (const line of [4, 5, 6, 7])
        assert.equal(without_block(file, line), [...rows.slice(0, 3), ...rows.slice(7)].join("\n"));
    assert.deepEqual(
        blocks_of(without_block(file, 9)).map((b) => b.row),
        [4],
    );
    assert.match(without_block(file, 9), /\[meter\][^]*\[options\]\npairs = true/);
});

test("readings of a file and those entered here are listed as the engine words them, each with its way back", () => {
    const s = run(opened, change({ kind: "take", readings: { text: file, lines: ["nothing works"], pairs: false } }));
    assert.deepEqual(
        entries(s).map((e) => [e.row, e.line]),
        [
            [4, null],
            [8, null],
            [null, 0],
        ],
    );
    const given = [
        ["volts at U1.13: 0.02 V", "readings.toml", 5],
        ["the bench: nothing works", "--reading", 1],
    ] as const;
    const known = answered(s, {
        readings: given.map(([words, of, line]) => ({ words, place: place(of, line), unexplained: false })),
    });
    assert.deepEqual(
        entries(known).map((e) => [e.words, e.row, e.line, e.entered]),
        [
            ["volts at U1.13: 0.02 V", 5, null, null],
            ["the bench: nothing works", null, 0, "nothing works"],
        ],
    );
});

test("another bench begins without readings; a reading closes the hints that were open", () => {
    const s = run(opened, add("nothing works"), { do: "hints", learner: true, depth: 2 });
    assert.deepEqual(run(s, add("rail usb = 0 V")).hints, { learner: true, depth: 0 });
    assert.deepEqual(
        run(s, { do: "open", file: { path: "b.toml", text: "", version: "v" }, path: "b.toml", left: null }).readings
            .lines,
        [],
    );
});

const next = (
    means: NextReading["means"],
    before: string,
    after = "",
    answers = "",
    sights: string[] = [],
): NextReading => ({
    means,
    words: "",
    how: "",
    why: "",
    bits: 1,
    effort: 1,
    line: { before, after },
    answers,
    sights,
});

test("an answer becomes the line that asked for it", () => {
    assert.equal(
        line_of(next("voltmeter", "U1.18 = ", " when gauge.ECHO high"), with_unit("3,28", "V")),
        "U1.18 = 3.28 V when gauge.ECHO high",
    );
    for (const [typed, unit, line] of [
        ["0.02", "V", "0.02 V"],
        ["-12.5", "mV", "-12.5 mV"],
        [".5", "kΩ", ".5 kΩ"],
        ["4.2 V ± 10 mV", "V", "4.2 V ± 10 mV"],
        ["drifts", "V", "drifts"],
        ["1.2.3", "V", "1.2.3"],
    ] as const)
        assert.equal(with_unit(typed, unit), line);
    assert.deepEqual(answer_form(next("eye", "wire 3 = ")).words, ["as planned", "not as planned"]);
    assert.deepEqual(answer_form(next("scope", "dips at U1 = ", "", '"yes" or "no"')), {
        words: ["yes", "no"],
        units: [],
        sights: [],
    });
    assert.deepEqual(answer_form(next("scope", "rise time at a.B = ", "", 'a time such as "2 ms"')).words, []);
});

test("a look is answered by what is seen, each sight a line of its own", () => {
    const look = next("eye", "wire 3 = ", "", "", ["in 9a", "missing"]);
    assert.deepEqual(
        answer_form(look).sights.map((seen) => line_of(look, seen)),
        ["wire 3 = in 9a", "wire 3 = missing"],
    );
    assert.deepEqual(answer_form(next("ohmmeter", "U1.1 to U1.2 = ")).sights, []);
    assert.deepEqual(["wire 3 = ", "U1 = ", "around U1 = ", "wires of rail usb = "].map(looked_at), [
        "wire 3",
        "U1",
        "U1 and its wires",
        "the wires of rail usb",
    ]);
});

test("what a reading touches is found for the pictures", () => {
    assert.deepEqual(pins_asked("U1.18 to U2.20 = "), [
        { part: "U1", pin: "18" },
        { part: "U2", pin: "20" },
    ]);
    assert.deepEqual(pins_asked("gauge.ECHO to ground = "), []);
    assert.deepEqual(["U1.18 to U1.20 = ", "U2 = ", "wire 12 = ", "gauge.ECHO = "].map(parts_asked), [
        ["U1"],
        ["U2"],
        [],
        [],
    ]);
    assert.equal(wire_asked("wire 12 = "), 12);
    assert.equal(wire_asked("U1.12 = "), null);
});

// One bit halves what is open (C. E. Shannon, A Mathematical Theory of Communication, 1948, section 6: entropy).
test("shares and gains in words and squares", () => {
    assert.match(gain_words({ bits: 1, effort: 1 }), /about 50 are left[^]*as long as a look/);
    assert.match(gain_words({ bits: 2, effort: 3 }), /about 25 are left[^]*3 times as long as a look/);
    assert.deepEqual([0, 0.004, 0.62, 0.996, 1].map(share_words), ["0 %", "under 1 %", "62 %", "over 99 %", "100 %"]);
    assert.deepEqual([0, 0.004, 0.01, 0.62, 1].map(share_bar), [
        "□□□□□□□□□□",
        "□□□□□□□□□□",
        "■□□□□□□□□□",
        "■■■■■■□□□□",
        "■■■■■■■■■■",
    ]);
});

test("a weight is a line of the file's table, written, changed and taken back without touching the rest", () => {
    const weigh = (of: string, weight: number | null) => change({ kind: "weight", of, weight });
    const text = (s: State) => s.readings.text;
    const once = run(opened, add("nothing works"), weigh("wire-missing", 12));
    assert.equal(text(once), "[weights]\nwire-missing = 12\n");
    assert.deepEqual(once.readings.lines, ["nothing works"]);
    const both = run(once, weigh("part-turned", 0.5), weigh("wire-missing", 3));
    assert.deepEqual(text(both).trim().split("\n").sort(), ["[weights]", "part-turned = 0.5", "wire-missing = 3"]);
    assert.equal(text(run(both, weigh("part-turned", null))), "[weights]\nwire-missing = 3\n");
    assert.equal(text(run(once, weigh("wire-missing", null))), "");
    const taken = run(opened, change({ kind: "take", readings: { text: file, lines: [], pairs: false } }));
    assert.equal(text(run(taken, weigh("wire-missing", null))), file);
    assert.equal(text(run(taken, weigh("wire-missing", 7))), `${file}\n[weights]\nwire-missing = 7\n`);
    assert.equal(text(run(taken, weigh("wire-missing", 7), weigh("wire-missing", null))), file);
    const between = file.replace(
        "[options]",
        "[weights] # of this class\npart-turned = 1\nwire-missing = 9\n\n[options]",
    );
    assert.equal(with_weight(between, "wire-missing", 2), between.replace("wire-missing = 9", "wire-missing = 2"));
    assert.equal(with_weight(between, "part-turned", null), between.replace("part-turned = 1\n", ""));
    assert.deepEqual(blocks_of(text(both)), [], "no reading");
});

test("a weight is a number from nought, with a comma or a point", () => {
    assert.deepEqual(["12", " 0,5 ", ".5", "0", "-1", "", "many", "1e3"].map(weight_typed), [
        12,
        0.5,
        0.5,
        0,
        null,
        null,
        null,
        null,
    ]);
});
