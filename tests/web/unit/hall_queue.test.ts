import assert from "node:assert/strict";
import { test } from "node:test";
import { added, pause, read_queue, without, type Piece } from "@page/hall/queue";

const tick = (once: string, step: number, done: boolean): Piece => ({
    once,
    kind: "tick",
    about: String(step),
    body: { step, done },
});
const reading = (once: string, check: string, value: string): Piece => ({
    once,
    kind: "reading",
    about: check,
    body: { check, value },
});
const queue_of = (...pieces: Piece[]) => pieces.reduce((queue, piece) => added(queue, piece, null), [] as Piece[]);

test("of a tick the last word is sent, of readings all, in order", () => {
    const queue = queue_of(
        tick("a", 1, true),
        reading("b", "x", "3 V"),
        tick("c", 1, false),
        reading("d", "x", "3.3 V"),
        tick("e", 2, true),
    );
    assert.deepEqual(
        queue.map((p) => p.once),
        ["b", "c", "d", "e"],
    );
});

test("what is on its way already stays, and is followed by what came after it", () => {
    const queue = added(queue_of(tick("a", 1, true)), tick("b", 1, false), "a");
    assert.deepEqual(
        queue.map((p) => p.once),
        ["a", "b"],
    );
    assert.deepEqual(
        without(queue, "a").map((p) => p.once),
        ["b"],
    );
});

test("a queue survives storage; what is none is an empty one", () => {
    const queue = queue_of(tick("a", 1, true), reading("b", "x", "3 V"));
    assert.deepEqual(read_queue(JSON.stringify(queue)), queue);
    for (const text of [
        null,
        "",
        "{",
        "7",
        "null",
        '[{"once":1}]',
        '[null, "x", {"once":"a","kind":"format the disk","about":"","body":{}}]',
    ])
        assert.deepEqual(read_queue(text), [], String(text));
});

test("tries grow apart up to 15 s and are spread by a quarter to both sides", () => {
    assert.deepEqual(
        [1, 2, 3, 4, 5, 9, 1000].map((n) => pause(n, 0.5)),
        [1000, 2000, 4000, 8000, 15000, 15000, 15000],
    );
    assert.deepEqual([pause(1, 0), pause(1, 1)], [750, 1250]);
});
