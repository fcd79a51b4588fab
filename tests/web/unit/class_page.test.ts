import assert from "node:assert/strict";
import { test } from "node:test";
import { empty_form, open_wires, said_by_ticks, wire_list, wires_of, type BuildForm } from "@page/class/build_form";
import { read_drafts, reduce, type Action } from "@page/class/reducer";
import { initial, no_drafts, shown_me, waiting_reading, type State } from "@page/class/state";
import type { Lesson, Me } from "@page/hall/answers";
import type { Piece } from "@page/hall/queue";

const step = (id: number, wire: Lesson["phases"][0]["steps"][0]["wire"] = null) => ({
    id,
    text: `step ${id}`,
    more: "",
    wire,
});
const lesson: Lesson = {
    title: "Bench",
    version: "v",
    steps: 4,
    boards: [],
    ends: [],
    phases: [
        {
            title: "One",
            about: "",
            link: null,
            check: null,
            steps: [step(0), step(1, { number: 2, from: "5s", to: "pump.GND", colour: "BK" })],
        },
        {
            title: "Two",
            about: "",
            link: null,
            check: null,
            steps: [
                step(2, { number: 1, from: "4x", to: "2j", colour: "RD" }),
                step(3, { number: 3, from: "supply usb 0 V", to: "6s", colour: "" }),
            ],
        },
    ],
    gates: [
        {
            gate: 1,
            title: "Power off",
            passed_by: "instructor",
            checks: [
                { id: "ohm-1", gate: 1, kind: "ohms", unit: "Ω", what: "rail usb to ground", link: null, meter: "" },
            ],
        },
    ],
};
const me: Me = {
    nickname: "Ada",
    gate: 1,
    passed: [null, null, null, null],
    waiting: false,
    ticked: [0],
    checks: {},
    help: null,
    danger: null,
    build: null,
    hints_open: 3,
    marks_open: false,
};
const run = (s: State, ...actions: Action[]): State => actions.reduce(reduce, s);
const inside = run(initial, { do: "joined", me, queue: [], drafts: no_drafts }, { do: "lesson", lesson });
const tick = (once: string, at: number, done: boolean): Piece => ({
    once,
    kind: "tick",
    about: String(at),
    body: { step: at, done },
});
const reading = (once: string, value: string): Piece => ({
    once,
    kind: "reading",
    about: "ohm-1",
    body: { check: "ohm-1", value },
});
const now = (s: State) => shown_me(s.me!, s.queue);

test("a tick shows at once, before the server has it, and after it", () => {
    let s = run(inside, { do: "piece", piece: tick("a", 1, true) }, { do: "piece", piece: tick("b", 0, false) });
    assert.deepEqual(now(s).ticked, [1]);
    assert.deepEqual(s.me!.ticked, [0], "what is acknowledged is kept apart");
    s = run(s, { do: "flies", once: "a" }, { do: "arrived", once: "a", me: { ...me, ticked: [0, 1] }, right: null });
    assert.deepEqual(now(s).ticked, [1]);
    assert.deepEqual(
        s.queue.map((p) => p.once),
        ["b"],
    );
});

test("a lost answer loses nothing: the piece stays first and keeps its name", () => {
    const s = run(
        inside,
        { do: "piece", piece: reading("a", "open") },
        { do: "flies", once: "a" },
        { do: "lost" },
        { do: "lost" },
    );
    assert.equal(s.queue[0]!.once, "a");
    assert.equal(s.flying, null);
    assert.equal(s.tries, 2);
    assert.equal(waiting_reading(s.queue, "ohm-1"), "open");
    assert.equal(run(s, { do: "online", online: true }).tries, 0);
});

test("right or not is said once, with what was read", () => {
    const sent = run(inside, { do: "piece", piece: reading("a", "3 Ω") }, { do: "flies", once: "a" });
    const s = run(sent, { do: "arrived", once: "a", me, right: false });
    assert.deepEqual(s.news, { words: "rail usb to ground: 3 Ω is not right.", bad: true });
    assert.equal(waiting_reading(s.queue, "ohm-1"), null);
    assert.equal(run(s, { do: "view", view: "steps" }).news, s.news, "bad news stays until it is closed");
    assert.equal(run(sent, { do: "arrived", once: "a", me, right: true }, { do: "view", view: "steps" }).news, null);
});

test("what the server refuses comes back into its field with the reason; a newer word typed meanwhile stays", () => {
    const sent = run(
        inside,
        { do: "draft-reading", check: "ohm-1", text: "3" },
        { do: "piece", piece: reading("a", "3 Ω") },
    );
    assert.equal(sent.drafts.readings["ohm-1"], undefined);
    const s = run(sent, { do: "refused", once: "a", words: "Gate 1 comes first." });
    assert.equal(s.troubles["ohm-1"], "Gate 1 comes first.");
    assert.equal(s.drafts.readings["ohm-1"], "3 Ω");
    assert.deepEqual(s.queue, []);
    const typed = run(
        sent,
        { do: "draft-reading", check: "ohm-1", text: "4" },
        { do: "refused", once: "a", words: "no" },
    );
    assert.equal(typed.drafts.readings["ohm-1"], "4");
});

test("when the seat ends nothing of it is left on the page", () => {
    const s = run(inside, { do: "piece", piece: reading("a", "3 Ω") }, { do: "nobody", words: "This seat has ended" });
    assert.equal(s.stage, "joining");
    assert.deepEqual([s.me, s.queue, s.drafts], [null, [], no_drafts]);
    assert.equal(s.joining.trouble, "This seat has ended");
    assert.equal(run(s, { do: "me", me }).me, null, "a late word of the old stream is not heard");
});

test("help that was asked for shows before it is sent", () => {
    const help = (wanted: boolean): Piece => ({
        once: String(wanted),
        kind: "help",
        about: "",
        body: { wanted, about: "wire 5" },
    });
    const s = run(inside, { do: "piece", piece: help(true) });
    assert.equal(now(s).help, "wire 5");
    assert.equal(now(run(s, { do: "piece", piece: help(false) })).help, null);
});

test("drafts survive storage, and a storage of another make is no harm", () => {
    const drafts = { ...no_drafts, readings: { "ohm-1": "3" } };
    assert.deepEqual(read_drafts(JSON.stringify(drafts)), drafts);
    for (const text of [null, "", "{", "null", '{"build":null}'])
        assert.deepEqual(read_drafts(text), no_drafts, String(text));
});

const wires = wires_of(lesson);
test("wires are asked in the order of their numbers; each has to be said, an other one with both ends", () => {
    assert.deepEqual(
        wires.map((w) => w.number),
        [1, 2, 3],
    );
    const form: BuildForm = {
        ...empty_form,
        said: { 1: { how: "planned" }, 2: { how: "other", from: "5s", to: " " } },
    };
    assert.deepEqual(
        open_wires(form, wires).map((w) => w.number),
        [2, 3],
    );
});

test("ticked steps say their wires, but never overrule a hand's word", () => {
    const form = said_by_ticks({ ...empty_form, said: { 2: { how: "missing" } } }, lesson, [0, 1, 2]);
    assert.deepEqual(form.said, { 1: { how: "planned" }, 2: { how: "missing" } });
});

test("the wire list is CSV (RFC 4180) with what is really there", () => {
    const form: BuildForm = {
        said: { 1: { how: "planned" }, 2: { how: "missing" }, 3: { how: "other", from: 'a "b", c', to: " 7s " } },
        extra: [
            { from: "1a", to: "2a" },
            { from: "", to: "" },
        ],
        parts: [
            { part: "U1", how: "turned", hole: "9t" },
            { part: "C1.2", how: "at", hole: "5s" },
            { part: "U2", how: "missing", hole: "" },
            { part: " ", how: "at", hole: "1a" },
        ],
    };
    assert.equal(
        wire_list(form, wires),
        [
            "kind,from,to,value,note",
            "wire,4x,2j,,wire 1",
            'wire,"a ""b"", c",7s,,wire 3',
            "wire,1a,2a,,not in the plan",
            "part,U1,,turned,",
            "part,C1.2,5s,,",
            "part,U2,,missing,",
            "",
        ].join("\n"),
    );
});

test("the reducer changes nothing in place", () => {
    const s = freeze(
        run(inside, { do: "piece", piece: tick("a", 1, true) }, { do: "draft-reading", check: "x", text: "y" }),
    );
    const all: Action[] = [
        { do: "piece", piece: tick("b", 1, false) },
        { do: "arrived", once: "a", me, right: null },
        { do: "refused", once: "a", words: "" },
        { do: "hint", check: "x", depth: 1, hint: { text: "t", keep_off: null, from_sheet: null } },
        { do: "draft", drafts: { help: "h" } },
        { do: "trouble", at: "x", words: "w" },
        { do: "ask-hint", check: "x", depth: 1 },
        { do: "lost" },
        { do: "view", view: "mine" },
        { do: "nobody", words: "" },
    ];
    for (const action of all) reduce(s, action);
});
function freeze<T>(value: T): T {
    if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
        Object.freeze(value);
        Object.values(value).forEach(freeze);
    }
    return value;
}
