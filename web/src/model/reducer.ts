/** The next state after something happened. Pure: what has to be fetched or written is done in effects/. */
import type { Action } from "./actions";
import type { Check, Refusable } from "./answers";
import type { Diagnosis } from "./fault_answers";
import { begin, changed, redo_word, redone, undo_word, undone, type History } from "./history";
import { choose, merge, merged, open_conflicts } from "./merge";
import { asked_of, of_lines } from "./fault";
import { with_change } from "./readings";
import { initial, nothing, text_of, type Computed, type State } from "./state";

type Of<D extends Action["do"]> = Extract<Action, { do: D }>;

function opened(s: State, a: Of<"open">): State {
    const base = a.path === null ? null : { text: a.file.text, version: a.file.version };
    const left = a.left !== null && a.left !== a.file.text ? { path: a.path, text: a.left } : null;
    return {
        ...initial,
        about: s.about,
        files: s.files,
        theme: s.theme,
        text_open: s.text_open,
        route: s.route,
        doc: { path: a.path, base, saving: false },
        history: begin(a.file.text),
        left,
    };
}

function moved(s: State, history: History, words: string | null): State {
    return words === null ? s : { ...s, history, notice: { words, bad: false } };
}

/** An answer nobody can read is no reading: it goes, with the words for whoever typed it; the last diagnosis stays. */
function untried(s: State, value: Refusable): State | null {
    const at = s.readings.lines.length;
    const problems = value.problems.filter((p) => p.place?.file === of_lines && p.place.line === at);
    if (!s.tried || s.tried.line !== s.readings.lines[at - 1] || problems.length === 0) return null;
    return {
        ...s,
        readings: with_change(s.readings, { kind: "drop", at: at - 1 }),
        tried: { line: s.tried.line, problems },
        fault: { ...s.fault, running: false },
    };
}

function with_readings(s: State, { change }: Of<"readings">): State {
    const tried = change.kind === "add" && change.tried ? { line: change.line, problems: [] } : null;
    return { ...s, readings: with_change(s.readings, change), tried, hints: { ...s.hints, depth: 0 } };
}

function answered(s: State, a: Of<"answer">): State {
    const { name, of, value, done } = a;
    const now = name === "fault" ? asked_of(s) : text_of(s);
    if (name !== "trace" && name !== "sheets" && of !== now) return s; // the text has moved on
    const back = name === "fault" && !value.accepted ? untried(s, value) : null;
    if (back) return back;
    const trouble = value.accepted ? "" : value.problems.map((p) => p.message).join("; ");
    const answer = { ...s[name], value, of, trouble, running: !done };
    const next = { ...s, [name]: answer } as State;
    if (name === "check" && value.accepted) return { ...next, read: value as Check };
    return name === "fault" && value.accepted ? { ...next, known: value as Diagnosis } : next;
}

function with_answer(s: State, name: keyof State, part: Partial<Computed<unknown>>): State {
    return { ...s, [name]: { ...(s[name] as object), ...part } };
}

function saved(s: State, a: Of<"saved">): State {
    return {
        ...s,
        doc: { path: a.path, base: { text: a.text, version: a.version }, saving: false },
        conflict: null,
        gone: false,
        left: null,
        notice: { words: `Saved to ${a.path}`, bad: false },
    };
}

function in_conflict(s: State, theirs: Of<"conflict">["theirs"]): State {
    const base = s.doc?.base?.text ?? "";
    const doc = s.doc && { ...s.doc, saving: false };
    return { ...s, doc, conflict: { theirs, base, regions: merge(text_of(s), base, theirs.text) } };
}

/** The file on the disk is another now. Without changes of one's own its text is taken; else it is a conflict. */
function disk_changed(s: State, file: Of<"disk">["file"]): State {
    if (!s.doc?.base || file.version === s.doc.base.version) return s;
    const doc = { ...s.doc, base: { text: file.text, version: file.version } };
    if (file.text === text_of(s)) return { ...s, doc, conflict: null };
    if (text_of(s) !== s.doc.base.text) return in_conflict(s, file);
    const word = "change on disk";
    const next = { text: file.text, selection: { anchor: 0, head: 0 }, word, at: 0 };
    return {
        ...s,
        doc,
        history: changed(s.history, next),
        notice: { words: "Read again: the file changed on disk", bad: false },
    };
}

function merge_taken(s: State): State {
    if (!s.conflict || !s.doc || open_conflicts(s.conflict.regions) > 0) return s;
    const { theirs, regions } = s.conflict;
    const next = { text: merged(regions), selection: { anchor: 0, head: 0 }, word: "merge", at: 0 };
    return {
        ...s,
        conflict: null,
        history: changed(s.history, next),
        route: { view: "bench" },
        doc: { ...s.doc, base: { text: theirs.text, version: theirs.version } },
        notice: { words: "Merged; not saved yet", bad: false },
    };
}

function text_changed(s: State, a: Of<"text">): State {
    const next = { ...s, history: changed(s.history, a), joining: null };
    return next.conflict ? in_conflict(next, next.conflict.theirs) : next;
}

function of_the_file(s: State, a: Action): State | null {
    switch (a.do) {
        case "about":
            return { ...s, about: a.about };
        case "files":
            return { ...s, files: a.files };
        case "open":
            return opened(s, a);
        case "kept":
            return { ...s, kept: a.text };
        case "take-left":
            if (!s.left) return s;
            return {
                ...text_changed(s, {
                    do: "text",
                    text: s.left.text,
                    selection: { anchor: 0, head: 0 },
                    word: "take back unsaved text",
                    at: 0,
                }),
                left: null,
            };
        case "drop-left":
            return { ...s, left: null };
        case "save":
            return s.doc ? { ...s, doc: { ...s.doc, saving: true } } : s;
        case "saved":
            return saved(s, a);
        case "save-failed":
            return { ...s, doc: s.doc && { ...s.doc, saving: false }, notice: { words: a.words, bad: true } };
        case "conflict":
            return in_conflict(s, a.theirs);
        case "choose":
            return (
                s.conflict && { ...s, conflict: { ...s.conflict, regions: choose(s.conflict.regions, a.at, a.choice) } }
            );
        case "take-merge":
            return merge_taken(s);
        case "disk":
            return disk_changed(s, a.file);
        case "gone":
            return { ...s, gone: true };
        default:
            return null;
    }
}

function of_the_text(s: State, a: Action): State | null {
    switch (a.do) {
        case "text":
            return text_changed(s, a);
        case "select":
            return { ...s, history: { ...s.history, present: { ...s.history.present, selection: a.selection } } };
        case "undo":
            return moved(s, undone(s.history), undo_word(s.history) && `Undone: ${undo_word(s.history)}`);
        case "redo":
            return moved(s, redone(s.history), redo_word(s.history) && `Done again: ${redo_word(s.history)}`);
        case "edit":
            return {
                ...s,
                editing: true,
                notice: null,
                form: a.form === undefined ? s.form : { name: a.form, taken: false, said: [] },
            };
        case "form-refused":
            return { ...s, form: { name: a.form, taken: false, said: a.said } };
        case "form-taken":
            return { ...s, form: { name: a.form, taken: true, said: [] } };
        case "edit-refused":
            return { ...s, notice: { words: a.words, bad: true } };
        case "edit-done":
            return { ...s, editing: false };
        case "answer":
            return answered(s, a);
        case "asked":
            return with_answer(s, a.name, { running: true, share: 0, what: "", trouble: "" });
        case "progress":
            return with_answer(s, a.name, { share: a.share, what: a.what });
        case "ended":
            return with_answer(s, a.name, a.trouble ? { running: false, trouble: a.trouble } : { running: false });
        case "trace":
            return { ...s, trace: { ...nothing(), wish: a.wish } };
        case "stop-trace":
            return { ...s, trace: { ...s.trace, running: false } };
        case "readings":
            return with_readings(s, a);
        case "hints":
            return { ...s, hints: { learner: a.learner, depth: a.depth } };
        case "want-boards":
            return { ...s, boards_wanted: true };
        case "sheets":
            return { ...s, sheets: { ...s.sheets, audience: a.audience, seats: a.seats } };
        default:
            return null;
    }
}

function of_the_page(s: State, a: Action): State | null {
    switch (a.do) {
        case "go":
            return { ...s, route: a.route, joining: a.route.view === "bench" ? s.joining : null };
        case "found":
            return { ...s, found: { words: a.words, rows: a.rows, traits: a.traits } };
        case "type":
            return { ...s, types: { ...s.types, [a.name]: a.type } };
        case "join-from":
            return { ...s, joining: a.pin };
        case "notice":
            return { ...s, notice: { words: a.words, bad: a.bad } };
        case "hush":
            return { ...s, notice: null };
        case "online":
            return { ...s, online: a.online };
        case "theme":
            return { ...s, theme: a.theme };
        case "text-open":
            return { ...s, text_open: a.open };
        case "goto":
            return { ...s, goto: { line: a.line, column: a.column, wish: (s.goto?.wish ?? 0) + 1 } };
        default:
            return null;
    }
}

export function reduce(s: State, a: Action): State {
    return of_the_text(s, a) ?? of_the_file(s, a) ?? of_the_page(s, a) ?? s;
}
