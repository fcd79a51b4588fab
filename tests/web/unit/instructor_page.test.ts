import assert from "node:assert/strict";
import { test } from "node:test";
import type { InFull, Me, Room, Row } from "@page/hall/answers";
import { ago, end_words, of_several } from "@page/hall/words";
import { colour_word } from "@page/model/colours";
import { reduce, type Action } from "@page/instructor/reducer";
import { hash_of, in_order, initial, kept_of, route_of, urgent, type State } from "@page/instructor/state";

const row = (id: number, nickname: string, more: Partial<Row> = {}): Row => ({
    id,
    nickname,
    here: true,
    removed: false,
    gate: 1,
    waiting: false,
    ticked: 0,
    next: null,
    right: 0,
    wrong: 0,
    tries: 0,
    hints: 0,
    help: null,
    danger: null,
    builds: 0,
    points: null,
    of: null,
    joined: 0,
    last: 0,
    ...more,
});
const room = (...learners: Row[]): Room => ({
    title: "Bench",
    bench: "b.toml",
    version: "v",
    begun: 0,
    kept_until: 9,
    code: "ABCD-EFGH",
    code_until: 9,
    address: "",
    warning: null,
    here_alone: false,
    steps: 1,
    checks: 1,
    hints_open: 3,
    marks_open: false,
    diagnosis: null,
    learners,
});
const run = (s: State, ...actions: Action[]): State => actions.reduce(reduce, s);
const inside = run(initial, { do: "in" }, { do: "room", room: room(row(1, "Ada"), row(2, "Bo")) });

test("danger comes first, then help by who waits longest, then gates; a shut-out device calls nobody", () => {
    const rows = [
        row(1, "Zoe", { danger: "would harm", waiting: true }),
        row(2, "Ann", { help: { about: "", since: 20 } }),
        row(3, "Bob", { help: { about: "", since: 10 } }),
        row(4, "Cat", { waiting: true }),
        row(5, "Dan", { danger: "old", removed: true }),
    ];
    const found = urgent(rows);
    assert.deepEqual(
        found.danger.map((r) => r.nickname),
        ["Zoe"],
    );
    assert.deepEqual(
        found.help.map((r) => r.nickname),
        ["Bob", "Ann"],
    );
    assert.deepEqual(
        found.waiting.map((r) => r.nickname),
        ["Cat"],
        "nobody passes a gate while in danger",
    );
    assert.equal(in_order(rows)[0]!.danger !== null, true);
    assert.deepEqual(
        in_order([row(1, "émile"), row(2, "Zoe"), row(3, "ada")]).map((r) => r.nickname),
        ["ada", "émile", "Zoe"],
    );
    assert.deepEqual(
        in_order([row(1, "Seat 10"), row(2, "Seat 2"), row(3, "Seat 1")]).map((r) => r.nickname),
        ["Seat 1", "Seat 2", "Seat 10"],
    );
});

test("the stream keeps the room up: a new row is added, a known one replaced, one who left is gone", () => {
    let s = run(inside, { do: "row", row: row(2, "Bo", { gate: 2 }) }, { do: "row", row: row(3, "Cy") });
    assert.deepEqual(
        s.room!.learners.map((r) => [r.id, r.gate]),
        [
            [1, 1],
            [2, 2],
            [3, 1],
        ],
    );
    s = run(s, { do: "left", id: 1 });
    assert.deepEqual(
        s.room!.learners.map((r) => r.id),
        [2, 3],
    );
});

test("what goes with the class is counted over everybody, those shut out too", () => {
    const rows = [
        row(1, "Ada", { tries: 4, builds: 1 }),
        row(2, "Bo", { tries: 3, removed: true }),
        row(3, "Cy", { builds: 2 }),
    ];
    assert.deepEqual(kept_of(rows), { learners: 3, readings: 7, builds: 3 });
    assert.deepEqual(kept_of([]), { learners: 0, readings: 0, builds: 0 });
});

test("whoever looks at a learner who leaves is back in the room", () => {
    const s = run(inside, { do: "go", route: { view: "learner", id: 1 } }, { do: "left", id: 1 });
    assert.deepEqual(s.route, { view: "room" });
    assert.match(s.news!.words, /left/);
    assert.deepEqual(run(inside, { do: "go", route: { view: "learner", id: 2 } }, { do: "left", id: 1 }).route, {
        view: "learner",
        id: 2,
    });
});

test("an answer about another learner than the one looked at is not shown", () => {
    const full = { row: row(1, "Ada"), learner: {} as Me, checks: [], minutes: [], build: null } satisfies InFull;
    const s = run(inside, { do: "go", route: { view: "learner", id: 2 } }, { do: "full", full });
    assert.equal(s.full, null);
});

test("when the session ends the room is no longer shown, and the view is kept for after signing in", () => {
    const s = run(inside, { do: "go", route: { view: "class" } }, { do: "nobody", words: "ended" });
    assert.deepEqual([s.stage, s.room, s.route], ["signing-in", null, { view: "class" }]);
    assert.equal(run(s, { do: "room", room: room() }).room, null);
});

test("addresses lead back to where they came from", () => {
    for (const hash of ["#/room", "#/join", "#/class", "#/learner/7"]) assert.equal(hash_of(route_of(hash)), hash);
    for (const hash of ["", "#", "#/learner/x", "#/learner/0", "#/nothing"])
        assert.deepEqual(route_of(hash), { view: "room" });
});

test("holes and colours by word (IEC 60757)", () => {
    assert.equal(end_words("12c"), "row 12, hole c");
    assert.equal(end_words("6s"), "strip s, hole 6");
    assert.equal(end_words("B 12c"), "board B, row 12, hole c");
    assert.equal(end_words("gauge.ECHO"), "gauge.ECHO");
    assert.deepEqual(["BK", "YE", "BU", "TQ", "??"].map(colour_word), ["black", "yellow", "blue", "turquoise", "??"]);
});

test("how long ago, never in the future of a clock that goes wrong", () => {
    assert.deepEqual(
        [0, 44, 60, 600, 7200, 200000].map((s) => ago(0, s)),
        ["just now", "just now", "1 min ago", "10 min ago", "2 h ago", "2 days ago"],
    );
    assert.equal(ago(100, 0), "just now");
});

test("a check of several pins is known by its words", () => {
    assert.equal(of_several("U1.3 (1A, 6e), U1.7 (3A, 10e) to ground"), true);
    assert.equal(of_several("U1.1 (VDD, 4e) to rail three"), false);
    assert.equal(of_several("sender.OUT high: read receiver.IN"), false);
});
