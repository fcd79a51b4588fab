import assert from "node:assert/strict";
import { test } from "node:test";
import type { Action } from "@page/model/actions";
import type { BenchFile, Check } from "@page/model/answers";
import { reduce } from "@page/model/reducer";
import { current, initial, text_of, unsaved, type State } from "@page/model/state";

const file = (text: string, version: string): BenchFile => ({ path: "a.toml", text, version });
const run = (s: State, ...actions: Action[]): State => actions.reduce(reduce, s);
const opened = run(initial, { do: "open", file: file("one\ntwo\n", "v1"), path: "a.toml", left: null });
const typed = (text: string): Action => ({
    do: "text",
    text,
    selection: { anchor: 0, head: 0 },
    word: "typing",
    at: 0,
});
const check = (accepted: boolean, problems: Check["problems"] = []) => ({ accepted, problems }) as unknown as Check;
const checked = (of: string, value: Check): Action => ({ do: "answer", name: "check", of, value, done: true });

test("an answer to an older text is dropped", () => {
    const s = run(opened, typed("new"), checked("one\ntwo\n", check(true)));
    assert.equal(s.check.value, null);
    assert.equal(current(run(s, checked("new", check(true))), { of: "new" }), true);
});

test("a text that cannot be read keeps the last verdicts that could", () => {
    const good = check(true);
    const s = run(
        opened,
        checked("one\ntwo\n", good),
        typed("broken"),
        checked("broken", check(false, [{ code: "x", message: "what?" }])),
    );
    assert.equal(s.read, good);
    assert.equal(s.check.trouble, "what?");
});

test("saving names the version the next save rests on", () => {
    const s = run(
        opened,
        typed("mine"),
        { do: "save", path: null },
        { do: "saved", path: "a.toml", text: "mine", version: "v2" },
    );
    assert.equal(unsaved(s), false);
    assert.deepEqual(s.doc?.base, { text: "mine", version: "v2" });
    assert.equal(unsaved(run(s, typed("more"))), true);
});

test("a change on the disk is taken when nothing would be lost, and can be undone", () => {
    const s = run(opened, { do: "disk", file: file("theirs", "v2") });
    assert.equal(text_of(s), "theirs");
    assert.equal(unsaved(s), false);
    assert.equal(text_of(run(s, { do: "undo" })), "one\ntwo\n");
});

test("a change on the disk never takes a text of one's own: it is a conflict until merged", () => {
    let s = run(opened, typed("one\nmine\n"), { do: "disk", file: file("theirs\ntwo\n", "v2") });
    assert.equal(text_of(s), "one\nmine\n");
    assert.ok(s.conflict);
    const region = s.conflict.regions.findIndex((r) => r.kind === "conflict");
    assert.equal(run(s, { do: "take-merge" }).conflict, s.conflict, "an open conflict cannot be taken");
    s = run(s, { do: "choose", at: region, choice: "both" }, { do: "take-merge" });
    assert.match(text_of(s), /one\nmine\ntheirs\ntwo/);
    assert.equal(s.doc?.base?.version, "v2");
    assert.equal(s.conflict, null);
});

test("typing while a conflict is open merges anew", () => {
    const s = run(
        opened,
        typed("one\nmine\n"),
        { do: "disk", file: file("theirs\ntwo\n", "v2") },
        typed("one\ntwo\nthree\n"),
    );
    assert.ok(s.conflict);
    assert.equal(run(s, { do: "take-merge" }).conflict, null);
    assert.equal(text_of(run(s, { do: "take-merge" })), "theirs\ntwo\nthree\n");
});

test("the echo of one's own save is no change", () => {
    const s = run(
        opened,
        typed("mine"),
        { do: "saved", path: "a.toml", text: "mine", version: "v2" },
        typed("mine and more"),
    );
    assert.equal(run(s, { do: "disk", file: file("mine", "v2") }), s);
});

test("text kept by the browser is offered only where it differs, and taking it can be undone", () => {
    const s = run(initial, { do: "open", file: file("disk", "v1"), path: "a.toml", left: "kept" });
    assert.equal(text_of(s), "disk");
    const taken = run(s, { do: "take-left" });
    assert.equal(text_of(taken), "kept");
    assert.equal(text_of(run(taken, { do: "undo" })), "disk");
    assert.equal(run(initial, { do: "open", file: file("same", "v1"), path: "a.toml", left: "same" }).left, null);
});

test("the reducer changes nothing in place", () => {
    const frozen = deep_freeze(run(opened, typed("mine"), { do: "disk", file: file("theirs", "v2") }));
    const actions: Action[] = [
        typed("x"),
        { do: "undo" },
        { do: "redo" },
        { do: "save", path: null },
        { do: "choose", at: 0, choice: "mine" },
        { do: "take-merge" },
        checked("mine", check(true)),
        { do: "trace", wish: { link: "a", rate: 1, samples: 0 } },
    ];
    for (const action of actions) reduce(frozen, action);
});

function deep_freeze<T>(value: T): T {
    if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
        Object.freeze(value);
        Object.values(value).forEach(deep_freeze);
    }
    return value;
}
