import assert from "node:assert/strict";
import { test } from "node:test";
import { begin, changed, redo_word, redone, typing, undo_word, undone, type History } from "@page/model/history";

const at = (n: number) => ({ anchor: n, head: n });
const typed = (h: History, text: string, when: number) =>
    changed(h, { text, selection: at(text.length), word: typing, at: when });
const did = (h: History, text: string, word: string) => changed(h, { text, selection: at(0), word, at: 1e6 });

test("undo gives back the text before with its cursor, and says what it undoes", () => {
    const h = did(typed(begin("a"), "ab", 1000), "abc", "join tank echo");
    assert.equal(undo_word(h), "join tank echo");
    const back = undone(h);
    assert.equal(back.present.text, "ab");
    assert.deepEqual(back.present.selection, at(2));
    assert.equal(redo_word(back), "join tank echo");
    assert.deepEqual(redone(back), h);
});

test("typing that goes on is one step; a pause, or an edit between, begins another", () => {
    let h = typed(begin(""), "a", 1000);
    h = typed(h, "ab", 1500);
    h = typed(h, "abc", 2000);
    assert.equal(undone(h).present.text, "");
    h = typed(h, "abcd", 5000);
    assert.equal(undone(h).present.text, "abc");
    h = did(h, "X", "add part");
    h = typed(h, "XY", 5100);
    assert.equal(undone(h).present.text, "X");
});

test("a change after undo forgets what was undone; no change adds no step", () => {
    const h = undone(did(begin("a"), "b", "one"));
    const other = did(h, "c", "two");
    assert.equal(redo_word(other), null);
    assert.equal(did(other, "c", "nothing").past.length, other.past.length);
});

test("property: undoing everything gives the first text, doing it again the last", () => {
    let seed = 7;
    const random = () => (seed = (seed * 1103515245 + 12345) % 2147483648) / 2147483648;
    for (let round = 0; round < 50; ++round) {
        let h = begin("first");
        for (let i = 0; i < 40; ++i) {
            const act = random();
            h =
                act < 0.2
                    ? undone(h)
                    : act < 0.3
                      ? redone(h)
                      : random() < 0.5
                        ? typed(h, h.present.text + i, i * 300)
                        : did(h, `text ${i}`, `edit ${i}`);
        }
        const steps = h.past.length;
        const last = redo_all(h).present.text;
        for (let i = 0; i < steps; ++i) h = undone(h);
        assert.equal(undo_word(h), null);
        assert.equal(h.present.text, "first");
        assert.equal(redo_all(h).present.text, last);
    }
});

function redo_all(h: History): History {
    while (redo_word(h) !== null) h = redone(h);
    return h;
}

test("the oldest texts are let go when there are too many", () => {
    let h = begin("");
    const big = "x".repeat(1e6);
    for (let i = 0; i < 60; ++i) h = did(h, `${big}${i}`, `edit ${i}`);
    const kept = [...h.past, h.present].reduce((n, m) => n + m.text.length, 0);
    assert.ok(kept < 22e6, `${kept} characters kept`);
    assert.equal(undone(h).present.text, `${big}58`);
});
