/** What happens on the instructor's page, and what becomes of its state. */
import type { InFull, Room, Row, Summary } from "../hall/answers";
import { initial, type Route, type State } from "./state";

/** What is done to a learner; `gate` of pass and back. */
export type Deed = "pass" | "back" | "helped" | "reset" | "remove" | "readmit" | "delete";

export type Action =
    | { do: "go"; route: Route }
    | { do: "sign-in"; passphrase: string }
    | { do: "sign-in-refused"; words: string }
    | { do: "nobody"; words: string }
    | { do: "in" }
    | { do: "sign-out" }
    | { do: "room"; room: Room }
    | { do: "row"; row: Row }
    | { do: "left"; id: number }
    | { do: "online"; online: boolean }
    | { do: "full"; full: InFull }
    /** A gate is to be passed: asked about first, unless all of it is there. */
    | { do: "ask-pass"; row: Row; gate: number }
    | { do: "asked-full"; full: InFull }
    | { do: "asked-over" }
    | { do: "summary"; summary: Summary }
    | { do: "now"; now: number }
    | { do: "deed"; learner: number; deed: Deed; gate: number }
    | { do: "code"; open: boolean; hours: number }
    | { do: "settings"; hints: number; marks: boolean }
    | { do: "backup" }
    | { do: "end-class"; learners: number }
    | { do: "busy"; what: string }
    | { do: "done"; what: string; news: State["news"] }
    | { do: "hush" };
export type Dispatch = (action: Action) => void;

function with_row(s: State, row: Row): State {
    if (!s.room) return s;
    const known = s.room.learners.some((r) => r.id === row.id);
    const learners = known ? s.room.learners.map((r) => (r.id === row.id ? row : r)) : [...s.room.learners, row];
    return { ...s, room: { ...s.room, learners } };
}

function without_learner(s: State, id: number): State {
    const gone = s.route.view === "learner" && s.route.id === id;
    return {
        ...s,
        room: s.room && { ...s.room, learners: s.room.learners.filter((r) => r.id !== id) },
        full: s.full?.row.id === id ? null : s.full,
        asked: s.asked?.row.id === id ? null : s.asked,
        route: gone ? { view: "room" } : s.route,
        news: gone ? { words: "This learner has left: everything of them is deleted.", bad: false } : s.news,
    };
}

export function reduce(s: State, a: Action): State {
    switch (a.do) {
        case "go":
            return {
                ...s,
                route: a.route,
                full: a.route.view === "learner" && s.full?.row.id === a.route.id ? s.full : null,
            };
        case "sign-in":
            return { ...s, signing: { busy: true, trouble: "" } };
        case "sign-in-refused":
            return { ...s, signing: { busy: false, trouble: a.words } };
        case "nobody":
            return {
                ...initial,
                stage: "signing-in",
                route: s.route,
                now: s.now,
                signing: { busy: false, trouble: a.words },
            };
        case "in":
            return { ...s, stage: "in", signing: { busy: false, trouble: "" } };
        case "room":
            return s.stage === "in" ? { ...s, room: a.room, online: true } : s;
        case "row":
            return with_row(s, a.row);
        case "left":
            return without_learner(s, a.id);
        case "online":
            return { ...s, online: a.online };
        case "full":
            return s.route.view === "learner" && s.route.id === a.full.row.id ? { ...s, full: a.full } : s;
        case "ask-pass":
            return { ...s, asked: { row: a.row, gate: a.gate, full: null } };
        case "asked-full":
            return s.asked?.row.id === a.full.row.id ? { ...s, asked: { ...s.asked, full: a.full } } : s;
        case "asked-over":
            return { ...s, asked: null };
        case "summary":
            return { ...s, summary: a.summary };
        case "now":
            return { ...s, now: a.now };
        case "busy":
            return { ...s, busy: [...s.busy, a.what], news: null };
        case "done":
            return { ...s, busy: s.busy.filter((b) => b !== a.what), news: a.news };
        case "hush":
            return { ...s, news: null };
        case "sign-out":
        case "deed":
        case "code":
        case "settings":
        case "backup":
        case "end-class":
            return s;
    }
}

/** Buttons that do the same wait together. */
export const name_of_deed = (learner: number, deed: Deed) => `${deed} ${learner}`;
